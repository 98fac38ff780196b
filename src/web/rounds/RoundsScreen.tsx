import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { RoundStanding } from '../../core/external-assessment/round.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { AssessmentRound } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { asWords } from '../parts/format.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { SignatureBlock } from '../parts/Signing.js';
import { ActSheet, AddSheet } from './sheets.js';
import { ROUNDS as words } from './words.js';

const FRAMES: Record<RoundStanding, 'plain' | 'soft' | 'double' | 'full'> = {
  'to be stained': 'double',
  'waiting for its score': 'soft',
  'to be looked into': 'full',
  'to be closed': 'double',
  closed: 'plain',
};

/** Rounds of external assessment, each with its story. */
export default function RoundsScreen() {
  const { may, format } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['rounds'],
    queryFn: () => got(api.GET('/api/assessment-rounds')),
  });
  const [adding, setAdding] = useState(false);
  const [asked, setAsked] = useState<AssessmentRound | null>(null);
  const keeps = may('manager', 'director');
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {keeps && <Button onPress={() => setAdding(true)}>{words.add.open}</Button>}
          <Export files={[csvOf('assessment-rounds/list.csv')]} />
        </>
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {data?.map((round) => (
          <li key={round.id}>
            <h2 className="line-title">
              {round.body}, {round.round}
            </h2>
            <p className="tag-line">
              <Tag frame={FRAMES[round.standing]}>{words.standings[round.standing]}</Tag>
            </p>
            <p className="small">
              {asWords(round.protocolId)} · {words.samples(round.samples)} · {words.due(format.lastDay(round.dueAt))}
            </p>
            <ol className="plain-list">
              {round.acts.map((act) => (
                <li key={act.id}>
                  <strong>{words.acts[act.kind]}</strong>{' '}
                  <span className="small figures">{format.dayAndClock(act.at)}</span>
                  {act.score !== undefined && act.outOf !== undefined && ` ${words.score(act.score, act.outOf)}`}
                  {act.satisfactory !== undefined &&
                    ` (${act.satisfactory ? words.satisfactory : words.unsatisfactory})`}
                  {act.text !== undefined && <p>{act.text}</p>}
                  {act.signature && <SignatureBlock signature={act.signature} />}
                </li>
              ))}
            </ol>
            {keeps && round.standing !== 'closed' && (
              <Button aria-label={words.act.openFor(round.round)} onPress={() => setAsked(round)}>
                {words.act.open}
              </Button>
            )}
          </li>
        ))}
      </ul>
      {adding && <AddSheet onClose={() => setAdding(false)} />}
      {asked && <ActSheet round={asked} onClose={() => setAsked(null)} />}
    </Page>
  );
}
