import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { USUAL_UNIT } from '../../core/ledger/written.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { ReagentRevision } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Finder } from '../parts/Finder.js';
import { Page, Tag, Waiting } from '../parts/Page.js';
import { limitsText } from '../places/places.js';
import '../places/places.css';
import { PLACES_WORDS } from '../places/words.js';
import { lifeText, useReagents } from '../stock/stock.js';
import '../stock/stock.css';
import './catalogue.css';
import { EntrySheet } from './EntrySheet.js';
import { CATALOGUE_WORDS as words } from './words.js';

/** Every reagent: how it is counted and kept, what is dangerous in it, and who of the laboratory set that. */
export default function CatalogueScreen() {
  const { may } = useSession();
  const reagents = useReagents();
  const revisions = useQuery({
    queryKey: ['stock', 'reagents', 'revisions'],
    queryFn: () => got(api.GET('/api/reagents/revisions')),
  });
  const [wanted, setWanted] = useText('find');
  const [editing, setEditing] = useState<{ reagent: Reagent | null } | null>(null);
  const text = wanted.trim().toLowerCase();
  const found = (reagents.data ?? [])
    .filter(({ name, code, kind, storageClasses = [] }) =>
      `${name} ${code} ${words.kinds[kind]} ${storageClasses.map((each) => PLACES_WORDS.classNames[each]).join(' ')}`
        .toLowerCase()
        .includes(text),
    )
    .sort((a, b) => a.name.localeCompare(b.name));
  const mayEdit = may('manager', 'director');
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={mayEdit && <Button onPress={() => setEditing({ reagent: null })}>{words.add}</Button>}
    >
      {!reagents.data && <Waiting error={reagents.error} onRetry={() => void reagents.refetch()} />}
      {reagents.data && (
        <>
          <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={reagents.data.length} />
          {found.length === 0 && <p>{words.none}</p>}
          <ul className="lines">
            {found.map((reagent) => (
              <li key={reagent.code}>
                <Entry
                  reagent={reagent}
                  revisions={(revisions.data ?? []).filter((each) => each.reagent === reagent.code)}
                  {...(mayEdit && { onRevise: () => setEditing({ reagent }) })}
                />
              </li>
            ))}
          </ul>
        </>
      )}
      {editing && <EntrySheet reagent={editing.reagent} onClose={() => setEditing(null)} />}
    </Page>
  );
}

function Entry({
  reagent,
  revisions,
  onRevise,
}: {
  reagent: Reagent;
  revisions: readonly ReagentRevision[];
  onRevise?: () => void;
}) {
  const { format } = useSession();
  const { code, name, kind, unit, storageClasses = ['general'], special, openedLife } = reagent;
  const [last, ...earlier] = revisions;
  const water = kind === 'water';
  return (
    <div className="entry">
      <div>
        <h2 className="line-title">{name}</h2>
        <p className="small">
          <code>{code}</code> · {words.kinds[kind]}
        </p>
        {special && (
          <p>
            <Tag frame="full">{words.special[special]}</Tag>
          </p>
        )}
        <p className="small">
          {last ? words.revised(last.name, format.dayAndClock(last.at)) : words.shipped}
          {earlier.length > 0 && ` · ${words.earlier(earlier.length)}`}
        </p>
      </div>
      {!water && (
        <dl className="entry-facts">
          <dt>{words.unit}</dt>
          <dd>{(unit ?? USUAL_UNIT).replaceAll(/[{}]/g, '')}</dd>
          <dt>{words.kept}</dt>
          <dd>{keptText(reagent)}</dd>
          <dt>{words.opened}</dt>
          <dd>{openedLife === undefined ? words.openedNone : lifeText(openedLife)}</dd>
          <dt>{words.classes}</dt>
          <dd>{storageClasses.map((each) => PLACES_WORDS.classNames[each]).join(', ')}</dd>
        </dl>
      )}
      {!water && <CautionList reagent={reagent} />}
      {onRevise && (
        <div>
          <Button look="quiet" aria-label={words.reviseOne(name)} onPress={onRevise}>
            {words.revise}
          </Button>
        </div>
      )}
    </div>
  );
}

function CautionList({ reagent: { cautions = [] } }: { reagent: Reagent }) {
  if (cautions.length === 0) return <p className="small">{words.noCautions}</p>;
  return (
    <ul className="entry-cautions" aria-label={words.cautions}>
      {cautions.map(({ agent, codes, signal, advice }) => (
        <li key={agent}>
          {signal !== 'none' && <strong>{signal} </strong>}
          {advice === undefined ? agent : words.advice(agent, advice)}{' '}
          <span className="small figures">{codes.join(' ')}</span>
        </li>
      ))}
    </ul>
  );
}

function keptText({ storage, special, waterCheckEvery }: Reagent): string {
  const { min = null, max = null, dark = false } = storage ?? {};
  const parts = [
    ...(min === null && max === null ? [] : [limitsText({ min, max })]),
    ...(dark ? [words.dark] : []),
    ...(special === 'picric acid' ? [words.water(lifeText(waterCheckEvery ?? 'P6M'))] : []),
  ];
  return parts.length === 0 ? words.keptAny : parts.join(', ');
}
