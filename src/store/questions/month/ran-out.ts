import { In } from 'typeorm';
import type { MonthRoundDto, RanOutDto } from '../../../contract/month.dto.js';
import { type RoundAct, roundStanding } from '../../../core/external-assessment/round.js';
import type { Instant } from '../../../core/time/instant.js';
import { CompetenceRow } from '../../rows/competence.entity.js';
import { RoundActRow, RoundRow } from '../../rows/rounds.entity.js';
import type { View } from '../../view.js';
import { knownInstruments } from '../instruments.js';
import { namesOf } from '../people.js';
import type { MonthSpan } from './span.js';

/** A decision with an end. */
interface Ending {
  at: Instant;
  until: Instant | null;
}

/**
 * Which decisions on one thing ended within a month, nothing having taken their place by then, and when the next one came.
 * Acts in the order of time.
 */
function endings<Act extends Ending>(
  acts: readonly Act[],
  { from, until }: MonthSpan,
): { act: Act; at: Instant; renewedAt: Instant | null }[] {
  return acts.flatMap((act, n) => {
    const next = acts[n + 1] ?? null;
    if (act.until === null || act.until < from || act.until >= until || (next && next.at <= act.until)) return [];
    return [{ act, at: act.until, renewedAt: next?.at ?? null }];
  });
}

/** Competences, calibrations and services that came to their end in a month. */
export async function ranOut(view: View, span: MonthSpan, titles: ReadonlyMap<string, string>): Promise<RanOutDto[]> {
  const found: RanOutDto[] = [];
  const acts = await view.all(CompetenceRow, {}, { order: { at: 'ASC', seq: 'ASC' } });
  const names = await namesOf(
    view,
    acts.map(({ personId }) => personId),
  );
  const keys = [...new Set(acts.map(({ personId, protocolId }) => `${personId} ${protocolId}`))];
  for (const key of keys) {
    const own = acts.filter(({ personId, protocolId }) => `${personId} ${protocolId}` === key);
    for (const { act, at, renewedAt } of endings(own, span)) {
      const { personId, protocolId } = act;
      const about = titles.get(protocolId) ?? protocolId;
      found.push({ what: 'competence', name: names[personId] ?? personId, about, at, renewedAt });
    }
  }
  for (const { code, name, acts: all } of await knownInstruments(view)) {
    for (const what of ['calibrated', 'serviced'] as const) {
      const own = all.filter(({ kind }) => kind === what).sort((a, b) => (a.at < b.at ? -1 : 1));
      for (const { at, renewedAt } of endings(own, span)) {
        found.push({ what: what === 'calibrated' ? 'calibration' : 'service', name: code, about: name, at, renewedAt });
      }
    }
  }
  return found.sort((a, b) => (a.at < b.at ? -1 : 1));
}

/** Rounds of external assessment that were open or acted on in a month, the earliest due first. */
export async function monthRounds(
  view: View,
  { from, until }: MonthSpan,
  titles: ReadonlyMap<string, string>,
): Promise<MonthRoundDto[]> {
  const rows = (await view.all(RoundRow, {}, { order: { dueAt: 'ASC', id: 'ASC' } })).filter(
    ({ receivedAt }) => receivedAt < until,
  );
  const acts = await view.all(
    RoundActRow,
    { roundId: In(rows.map(({ id }) => id)) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return rows.flatMap(({ id, body, round, protocolId, dueAt }): MonthRoundDto[] => {
    const known: RoundAct[] = acts.filter((act) => act.roundId === id && act.at < until);
    if (known.some(({ kind, at }) => kind === 'closed' && at < from)) return [];
    const scored = known.findLast(({ kind }) => kind === 'scored')?.data;
    const score = scored?.score === undefined ? null : `${scored.score} of ${scored.outOf ?? 'unknown'}`;
    return [
      {
        id,
        body,
        round,
        title: titles.get(protocolId) ?? protocolId,
        dueAt,
        standing: roundStanding(known),
        score,
        satisfactory: scored?.satisfactory ?? null,
      },
    ];
  });
}
