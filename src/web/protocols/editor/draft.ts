import type { ControlRequirement, Protocol, ReleasePoint, Step } from '../../../core/protocol/protocol.js';

/** A shape whose numbers may still be texts that are none; what stands in a field is never thrown away. */
export type Written<T> = T extends number
  ? number | string
  : T extends readonly (infer Item)[]
    ? Written<Item>[]
    : T extends object
      ? { [Key in keyof T]: Written<T[Key]> }
      : T;

export type Draft = Written<Protocol>;
export type DraftStep = Written<Step>;
export type DraftControl = Written<ControlRequirement>;
export type DraftPoint = Written<ReleasePoint>;

/** What a new step is called in the record until its action gives it a name. */
const NEW_STEP = /^new-step-\d+$/;
/** What a figure is that is written here. */
export const OWN = 'set by this laboratory' as const;

/** A protocol of this laboratory's own to begin with. */
export function emptyDraft(): Draft {
  return {
    format: 'stainwright-protocol/1',
    id: '',
    title: '',
    purpose: '',
    category: 'routine',
    setting: 'laboratory',
    material: { form: 'section', description: '', irreplaceable: false },
    expected: '',
    steps: [newStep([])],
    releasePoints: [],
    controls: [newControl([])],
    cautions: [],
    fitness: [],
    sources: [],
  };
}

export function newStep(steps: readonly DraftStep[]): DraftStep {
  return {
    id: unusedId(steps, 'new-step'),
    action: '',
    vessel: '',
    time: { target: '', unit: 's', status: OWN, window: OWN },
    end: 'clock',
    critical: false,
    handsOn: { start: 5, end: 5 },
    sources: [],
  };
}

export function newControl(controls: readonly DraftControl[]): DraftControl {
  return {
    id: unusedId(controls, 'control'),
    kind: 'positive',
    material: '',
    expected: '',
    when: 'each day of use',
    required: true,
    status: OWN,
    sources: [],
  };
}

export function newPoint(points: readonly DraftPoint[], steps: readonly DraftStep[]): DraftPoint {
  return { id: unusedId(points, 'result'), title: '', of: 'slide', after: steps.at(-1)?.id ?? '' };
}

function unusedId(items: readonly { id: string }[], word: string): string {
  let n = items.length + 1;
  while (items.some(({ id }) => id === `${word}-${n}`)) n++;
  return `${word}-${n}`;
}

/** A list with one of its items at another place. */
export function moved<T>(items: readonly T[], from: number, to: number): T[] {
  const rest = items.toSpliced(from, 1);
  return rest.toSpliced(to, 0, items[from] as T);
}

/** An object with a key set, or without it. */
export function withKey<T extends object, K extends keyof T>(
  object: T,
  key: K,
  value: Exclude<T[K], undefined> | undefined,
): T {
  const { [key]: _left, ...rest } = object;
  return (value === undefined ? rest : { ...object, [key]: value }) as T;
}

/** 'Rinse in tap water' reads rinse-in-tap-water. */
export function idFrom(words: string): string {
  return words
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')
    .slice(0, 40)
    .replace(/-$/, '');
}

/** The draft with new steps named after their actions, here and where a result leaves after them. */
export function named(draft: Draft): Draft {
  const names = new Map<string, string>();
  const taken = new Set(draft.steps.map(({ id }) => id));
  for (const { id, action } of draft.steps) {
    const base = idFrom(action);
    if (!NEW_STEP.test(id) || base === '') continue;
    let name = base;
    for (let n = 2; taken.has(name); n++) name = `${base}-${n}`;
    taken.add(name);
    names.set(id, name);
  }
  const nameOf = (id: string): string => names.get(id) ?? id;
  return {
    ...draft,
    steps: draft.steps.map((step) => ({ ...step, id: nameOf(step.id) })),
    releasePoints: draft.releasePoints.map((point) => ({ ...point, after: nameOf(point.after) })),
  };
}

/** The draft as a protocol when each of its times is a number, which is what a picture of it needs. */
export function drawable({ steps }: Draft): Pick<Protocol, 'steps'> | null {
  const numbers = steps.every(
    ({ time, handsOn, gap }) =>
      [time.target, handsOn.start, handsOn.end].every(isAmount) &&
      [time.min, time.max, gap?.max].every((value) => value === undefined || isAmount(value)),
  );
  return numbers ? { steps: steps as Step[] } : null;
}

function isAmount(value: number | string): boolean {
  return typeof value === 'number' && value >= 0;
}
