import { useState } from 'react';
import { competenceAt } from '../../core/competence/competence.js';
import type { CompetenceList } from '../api.paths.js';
import { Field } from '../parts/Field.js';
import { benchClock } from '../parts/ticker.js';
import { COMPETENCE as words } from './words.js';

/** Who is still competent at the middle of a day, by the gate's own rule. */
export function Cover({ list }: { list: CompetenceList }) {
  const [day, setDay] = useState(() =>
    new Date(Date.parse(benchClock.now().at) + 86_400_000).toISOString().slice(0, 10),
  );
  const at = /^\d{4}-\d\d-\d\d$/.test(day) ? `${day}T12:00:00.000Z` : null;
  return (
    <>
      <Field label={words.day} type="date" value={day} onChange={setDay} />
      {at !== null && (
        <dl className="cover">
          {list.protocols.map(({ protocolId, title, assessedFrom }) => {
            const names = list.people
              .filter(({ id, disabled }) => {
                const item = list.items.find((each) => each.personId === id && each.protocolId === protocolId);
                const acts = [...(item?.acts ?? [])].reverse().map((act) => ({ ...act, protocolId }));
                return !disabled && competenceAt(acts, at, assessedFrom) === 'competent';
              })
              .map(({ name }) => name);
            return (
              <div key={protocolId}>
                <dt>{title}</dt>
                <dd>{names.length === 0 ? <strong>{words.nobody}</strong> : words.names(names)}</dd>
              </div>
            );
          })}
        </dl>
      )}
    </>
  );
}
