import type { AcceptedPlan, PlanAsked } from '../api.paths.js';
import { asLocal } from '../parts/format.js';
import { newId } from '../parts/ids.js';

/** What the form holds: times as its fields show them, empty where nothing is asked. */
export interface Form {
  runs: RunLine[];
  hands: HandsLine[];
  places: PlaceLine[];
}
export interface RunLine {
  id: string;
  revisionId: string;
  slides: string;
  earliest: string;
  deadline: string;
  first: boolean;
}
export interface HandsLine {
  id: string;
  name: string;
  from: string;
  to: string;
}
export interface PlaceLine {
  id: string;
  reagent: string;
  racks: string;
}

const SHIFT_MS = 8 * 3_600_000;

export function newRunLine(): RunLine {
  return { id: newId(), revisionId: '', slides: '1', earliest: '', deadline: '', first: false };
}

export function newHandsLine(name: string, now: number): HandsLine {
  const minute = new Date(now - (now % 60_000));
  return { id: newId(), name, from: local(minute), to: local(new Date(minute.getTime() + SHIFT_MS)) };
}

/** A new form: what the accepted plan still waits for, or one empty run for whoever is signed in. */
export function formFor(plan: AcceptedPlan | null, person: string, now: number): Form {
  const waiting = plan?.waiting.filter(({ startedRunId }) => startedRunId === null) ?? [];
  const here = plan?.hands.filter(({ to }) => Date.parse(to) > now) ?? [];
  return {
    runs:
      plan && waiting.length > 0
        ? plan.wanted
            .filter(({ id }) => waiting.some((run) => run.id === id))
            .map(({ id, revisionId, slides, earliestAt, deadlineAt, priority }) => ({
              id,
              revisionId,
              slides: String(slides),
              earliest: earliestAt ? local(new Date(earliestAt)) : '',
              deadline: deadlineAt ? local(new Date(deadlineAt)) : '',
              first: priority === 0,
            }))
        : [newRunLine()],
    hands:
      here.length > 0
        ? here.map(({ name, from, to }) => ({
            id: newId(),
            name,
            from: local(new Date(from)),
            to: local(new Date(to)),
          }))
        : [newHandsLine(person, now)],
    places: plan?.places.map(({ reagent, racks }) => ({ id: newId(), reagent, racks: String(racks) })) ?? [],
  };
}

/** The baths that stand on the lines, each a place for one rack at a time. */
export function placesOf(baths: readonly { reagent: string }[]): PlaceLine[] {
  return [...new Set(baths.map(({ reagent }) => reagent))].map((reagent) => ({
    id: newId(),
    reagent,
    racks: String(baths.filter((bath) => bath.reagent === reagent).length),
  }));
}

/** What the form asks for; null while something is missing. */
export function askedOf({ runs, hands, places }: Form, going: number): PlanAsked | null {
  const chosen = runs.filter(({ revisionId }) => revisionId !== '');
  const there = hands.filter(({ name, from, to }) => name.trim() !== '' && from !== '' && to !== '');
  if (chosen.length + going === 0 || there.length === 0) return null;
  const someFirst = chosen.some(({ first }) => first);
  return {
    wanted: chosen.map(({ id, revisionId, slides, earliest, deadline, first }) => ({
      id,
      revisionId,
      slides: Number(slides),
      ...(earliest !== '' && { earliestAt: instant(earliest) }),
      ...(deadline !== '' && { deadlineAt: instant(deadline) }),
      // Runs that go already are among the first.
      ...(someFirst && { priority: first ? 0 : 1 }),
    })),
    hands: there.map(({ name, from, to }) => ({ name: name.trim(), from: instant(from), to: instant(to) })),
    places: places
      .filter(({ reagent }) => reagent !== '')
      .map(({ reagent, racks }) => ({ reagent, racks: Number(racks) })),
  };
}

/** To the minute, as a date field shows it. */
function local(date: Date): string {
  return asLocal(date.toISOString()).slice(0, 16);
}

function instant(shown: string): string {
  return new Date(shown).toISOString();
}
