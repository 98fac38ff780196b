import { In, IsNull, LessThanOrEqual, Not } from 'typeorm';
import { withReagentNames } from '../../core/gate/reagent-words.js';
import { nearest } from '../../core/protocol/check.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { RecordRow } from '../rows/record.entity.js';
import { ReagentRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';

/** The catalogue's entries of these codes as they stood at a record number, in the order of their codes. */
export async function reagentsOf(view: View, codes: readonly string[], upToSeq?: number): Promise<Reagent[]> {
  const rows = await view.all(
    ReagentRow,
    { code: In([...codes]), ...(upToSeq === undefined ? {} : { seq: LessThanOrEqual(upToSeq) }) },
    { order: { code: 'ASC', seq: 'ASC' } },
  );
  return [...new Map(rows.map(({ code, content }) => [code, content])).values()];
}

/** The whole catalogue as it stands now, in the order of its codes. */
export function catalogue(view: View): Promise<Reagent[]> {
  return view.recallLive('catalogue', [ReagentRow], async () => {
    const rows = await view.all(ReagentRow, {}, { order: { code: 'ASC', seq: 'ASC' } });
    return [...new Map(rows.map(({ code, content }) => [code, content])).values()];
  });
}

/** A reagent's name in the catalogue; its code when the catalogue has none. */
export async function reagentName(view: View, code: string): Promise<string> {
  return (await catalogue(view)).find((each) => each.code === code)?.name ?? code;
}

/** Tells the gate's texts with the names of reagents as the catalogue has them now. */
export async function gateWords(view: View): Promise<(text: string) => string> {
  const reagents = await catalogue(view);
  return (text) => withReagentNames(text, reagents);
}

/** Codes of the entries that this laboratory wrote or revised itself. */
export async function ownReagents(view: View): Promise<Set<string>> {
  const rows = await view.all(ReagentRow, { personId: Not(IsNull()) });
  return new Set(rows.map(({ code }) => code));
}

/** Every addition or revision of an entry by a person here, the latest first. */
export async function reagentRevisions(
  view: View,
): Promise<{ reagent: string; at: Instant; personId: string; name: string }[]> {
  const rows = await view.all(ReagentRow, { personId: Not(IsNull()) }, { order: { seq: 'DESC', id: 'DESC' } });
  const entries = await view.all(RecordRow, { seq: In(rows.map(({ seq }) => seq)) }, { order: { seq: 'ASC' } });
  const at = new Map(entries.map((entry) => [entry.seq, entry.at]));
  const names = await namesOf(
    view,
    rows.map(({ personId }) => personId),
  );
  return rows.flatMap(({ code, seq, personId }) => {
    const when = at.get(seq);
    return personId === null || when === undefined
      ? []
      : [{ reagent: code, at: when, personId, name: names[personId] ?? '' }];
  });
}

/** The catalogue's entry of a code; refuses one that is not there, naming those that may be meant. */
export async function needReagent(view: View, code: string): Promise<Reagent> {
  const reagents = await catalogue(view);
  const found = reagents.find((each) => each.code === code);
  if (found) return found;
  const codes = reagents.map((each) => each.code);
  const words = code.split('-').filter((word) => word.length > 2);
  const near = nearest(code, codes);
  const alike =
    near === undefined ? codes.filter((each) => words.some((word) => each.includes(word))).slice(0, 5) : [near];
  const right = alike.length > 0 ? `did you mean ${alike.join(' or ')}?` : 'look it up in the catalogue of reagents.';
  const message = `"${code}" is not in the catalogue of reagents; ${right}`;
  throw new Refusal('invalid', 'unknown-reagent', message, [{ at: 'reagent', message }]);
}
