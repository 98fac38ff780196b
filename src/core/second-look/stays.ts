import type { InstrumentAct } from '../instruments/instrument.js';
import type { Instant } from '../time/instant.js';

/** A bench place at which an instrument stood, from an instant until before another; null while it stands there. */
export interface InstrumentStay {
  station: string;
  from: Instant;
  until: Instant | null;
}

/** Where an instrument stood when, by its moves in any order. */
export function staysOf(acts: readonly InstrumentAct[]): InstrumentStay[] {
  const moves = acts.filter(({ kind }) => kind === 'moved').sort((a, b) => (a.at < b.at ? -1 : 1));
  return moves.flatMap(({ station, at }, n) =>
    station === null ? [] : [{ station, from: at, until: moves[n + 1]?.at ?? null }],
  );
}

const OPPOSITE: Partial<Record<InstrumentAct['kind'], InstrumentAct['kind']>> = {
  'taken out of use': 'returned to use',
  'returned to use': 'taken out of use',
};

/**
 * The time for which an act on an instrument changes what is known of it, and where it stood then, before and after the
 * act: from the act until the next one like it; a check that failed speaks against all since the last one that passed
 * (ISO 15189:2022 6.4.5: the effect of a fault on earlier results is looked into). null is ever; `before` are the acts
 * known until then.
 */
export function instrumentPeriod(
  act: InstrumentAct,
  before: readonly InstrumentAct[],
): { stays: InstrumentStay[]; since: Instant | null; until: Instant | null } {
  const like = before.filter(({ kind }) => kind === act.kind || kind === OPPOSITE[act.kind]);
  const passed = like.filter(({ at, passed: good }) => at < act.at && good === true).map(({ at }) => at);
  return {
    stays: [...staysOf([...before, act]), ...(act.kind === 'moved' ? staysOf(before) : [])],
    since: act.passed === false ? (passed.sort().at(-1) ?? null) : act.at,
    until:
      like
        .map(({ at }) => at)
        .filter((at) => at > act.at)
        .sort()
        .at(0) ?? null,
  };
}
