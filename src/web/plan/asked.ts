import { Problem } from '../api.js';
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
export function askedOf(form: Form, going: number): PlanAsked | null {
  const { wanted: chosen, hands: there, places: tight } = linesAsked(form);
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
    places: tight.map(({ reagent, racks }) => ({ reagent, racks: Number(racks) })),
  };
}

/** The lines that say enough to be asked about, under the names and in the order in which they are sent. */
function linesAsked({ runs, hands, places }: Form) {
  return {
    wanted: runs.filter(({ revisionId }) => revisionId !== ''),
    hands: hands.filter(({ name, from, to }) => name.trim() !== '' && from !== '' && to !== ''),
    places: places.filter(({ reagent }) => reagent !== ''),
  };
}

const FIELDS = ['revisionId', 'slides', 'earliestAt', 'deadlineAt', 'name', 'from', 'to', 'reagent', 'racks'] as const;

/** What the server found wrong with single fields of the form that was sent, to be told beside them. */
export interface Faults {
  of: (line: { id: string }, field: (typeof FIELDS)[number]) => string | undefined;
  /** Whether a fault at this address, such as 'wanted.0.slides', stands beside a field. */
  isBeside: (at: string) => boolean;
}

export function faultsOf(problem: Error | null, sent: Form | undefined): Faults {
  const told = problem instanceof Problem ? problem.problems : [];
  const fields = new Map<string, string>();
  for (const [list, lines] of Object.entries(sent ? linesAsked(sent) : {})) {
    lines.forEach(({ id }, n) => FIELDS.forEach((field) => fields.set(`${list}.${n}.${field}`, `${id} ${field}`)));
  }
  return {
    of: ({ id }, field) => told.find(({ at }) => fields.get(at) === `${id} ${field}`)?.message,
    isBeside: (at) => fields.has(at),
  };
}

/** To the minute, as a date field shows it. */
function local(date: Date): string {
  return asLocal(date.toISOString()).slice(0, 16);
}

function instant(shown: string): string {
  return new Date(shown).toISOString();
}
