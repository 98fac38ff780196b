import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { CompetenceStanding } from '../../core/competence/competence.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Competence, CompetenceList } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { WORDS } from '../words.js';
import './competence.css';
import { Cover } from './Cover.js';
import { DecisionSheet } from './DecisionSheet.js';
import { COMPETENCE as words } from './words.js';

const FRAMES: Record<CompetenceStanding, 'plain' | 'soft' | 'double' | 'full'> = {
  competent: 'plain',
  'in training': 'soft',
  lapsed: 'full',
  'to be assessed anew': 'double',
  'not competent': 'soft',
};

/** Where everybody at the benches stands with every protocol, and who can cover on a day. */
export default function CompetenceScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['competence'],
    queryFn: () => got(api.GET('/api/competence')),
  });
  const [asked, setAsked] = useState<Competence | null>(null);
  const empty = data && (data.protocols.length === 0 || data.people.length === 0);
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {empty && (
        <Nothing title={words.empty} first={{ href: '/protocols', word: WORDS.begin.protocols }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && !empty && (
        <>
          <Matrix list={data} {...(may('director', 'manager') && { onDecide: setAsked })} />
          <Part title={words.cover} about={words.coverHelp}>
            <Cover list={data} />
          </Part>
        </>
      )}
      {data && asked && <DecisionSheet list={data} about={asked} onClose={() => setAsked(null)} />}
    </Page>
  );
}

function Matrix({ list, onDecide }: { list: CompetenceList; onDecide?: (about: Competence) => void }) {
  const { format } = useSession();
  const people = list.people.filter(({ disabled }) => !disabled);
  return (
    <div className="matrix-frame">
      <table className="matrix">
        <thead>
          <tr>
            <th scope="col">{words.person}</th>
            {list.protocols.map(({ protocolId, title }) => (
              <th key={protocolId} scope="col">
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {people.map((person) => (
            <tr key={person.id}>
              <th scope="row">{person.name}</th>
              {list.protocols.map((protocol) => {
                const item = list.items.find(
                  ({ personId, protocolId }) => personId === person.id && protocolId === protocol.protocolId,
                );
                if (!item) return <td key={protocol.protocolId} />;
                return (
                  <td key={protocol.protocolId} data-label={protocol.title}>
                    <p>
                      <Tag frame={FRAMES[item.standing]}>{words.standings[item.standing]}</Tag>
                    </p>
                    {item.until !== null && <p className="small figures">{words.until(format.lastDay(item.until))}</p>}
                    {onDecide && (
                      <Button
                        look="quiet"
                        aria-label={words.decideOn(person.name, protocol.title)}
                        onPress={() => onDecide(item)}
                      >
                        {words.decide}
                      </Button>
                    )}
                  </td>
                );
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
