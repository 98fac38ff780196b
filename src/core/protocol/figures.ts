import type { FigureStatus, Protocol } from './protocol.js';
import type { Path } from './problem.js';

/** What a figure holds, by key: `{ target: 20 }`, `{ min: 15, max: 30 }`, `{ text: '0.9 % NaCl' }`. */
export type FigureValue = Readonly<Record<string, string | number>>;

/** A figure that is still a proposal of the shipped file. */
export interface OpenProposal {
  /** Where its standing is kept, such as ['steps', 3, 'time', 'window']. */
  path: Path;
  /** The figure in words, for a list that a person works through. */
  text: string;
  value: FigureValue;
}

/** What a laboratory says about one figure: the figure stands as it is, or the value that it sets. */
export interface Confirmation {
  path: Path;
  value?: FigureValue;
}

interface Figure {
  path: Path;
  text: string;
  /** The object that holds figure and standing. */
  holder: Record<string, unknown>;
  /** The keys of the holder that make up the figure. */
  keys: readonly string[];
  /** The key of the holder that says how far the figure can be trusted. */
  standing: string;
}

/**
 * The figures of a protocol that are still proposals, in the order of the file; approval waits until it is empty. A step
 * whose window is proposed and whose target is not gives one, with the value `{ min: 15, max: 30 }`.
 */
export function openProposals(protocol: Protocol): OpenProposal[] {
  return figuresOf(protocol)
    .filter((figure) => statusOf(figure) === 'proposal')
    .map(({ path, text, holder, keys }) => ({ path, text, value: valueOf(holder, keys) }));
}

/**
 * A copy of the protocol in which each named figure is 'set by this laboratory', with the value given or as it stood.
 * Throws RangeError for a path that leads to no figure and for a key that the figure does not have. Whether the new
 * values go together is asked of checkProtocol.
 */
export function confirmFigures(protocol: Protocol, confirmations: readonly Confirmation[]): Protocol {
  const copy = structuredClone(protocol);
  const figures = new Map(figuresOf(copy).map((figure) => [figure.path.join('/'), figure]));
  for (const { path, value } of confirmations) {
    const figure = figures.get(path.join('/'));
    if (!figure) {
      throw new RangeError(
        `there is no figure at ${path.join('/')}; name one as steps/0/time/status or steps/0/time/window`,
      );
    }
    for (const [key, setting] of Object.entries(value ?? {})) {
      if (!figure.keys.includes(key)) {
        throw new RangeError(
          `the figure at ${path.join('/')} has no "${key}"; it is made of ${figure.keys.join(', ')}`,
        );
      }
      figure.holder[key] = setting;
    }
    figure.holder[figure.standing] = 'set by this laboratory' satisfies FigureStatus;
  }
  return copy;
}

/**
 * A copy of an edited protocol in which every figure that is new, or not as it was in `base`, is 'set by this laboratory':
 * what a source said of a figure does not hold for another. Steps and controls are told apart by their ids. A target
 * changed from 20 s to 25 s gets that standing, its limits keep theirs.
 */
export function withOwnFigures(base: Protocol | null, edited: Protocol): Protocol {
  const copy = structuredClone(edited);
  const was = new Map(base ? figuresOf(base).map((figure) => [placeIn(base, figure), figure]) : []);
  for (const figure of figuresOf(copy)) {
    const before = was.get(placeIn(copy, figure));
    if (!before || contentOf(before) !== contentOf(figure)) {
      figure.holder[figure.standing] = 'set by this laboratory' satisfies FigureStatus;
    }
  }
  return copy;
}

/** Where a figure stands, by the ids of steps and controls, whatever their order. */
function placeIn(protocol: Protocol, { path }: Figure): string {
  const [list, index, ...rest] = path;
  const items = list === 'steps' || list === 'controls' ? protocol[list] : null;
  return [list, items?.[Number(index)]?.id ?? index, ...rest].join('/');
}

function contentOf({ holder, keys }: Figure): string {
  return JSON.stringify([...keys, 'unit', 'per'].map((key) => holder[key] ?? null));
}

function figuresOf(protocol: Protocol): Figure[] {
  const figures: Figure[] = [];
  const add = (holder: object, path: Path, keys: string[], text: string, standing = 'status') =>
    figures.push({ holder: holder as Record<string, unknown>, path: [...path, standing], keys, text, standing });

  protocol.steps.forEach((step, i) => {
    const at = ['steps', i];
    if (step.concentration) {
      add(step.concentration, [...at, 'concentration'], ['text', 'value', 'unit'], `${step.action}: concentration`);
    }
    add(step.time, [...at, 'time'], ['target'], `${step.action}: target time in ${step.time.unit}`);
    if (step.time.min !== undefined || step.time.max !== undefined) {
      add(step.time, [...at, 'time'], ['min', 'max'], `${step.action}: time limits in ${step.time.unit}`, 'window');
    }
    if (step.gap) {
      add(step.gap, [...at, 'gap'], ['max'], `${step.action}: longest gap before it in ${step.gap.unit}`);
    }
    if (step.temperature) {
      add(
        step.temperature,
        [...at, 'temperature'],
        ['target', 'min', 'max'],
        `${step.action}: temperature in ${step.temperature.unit}`,
      );
    }
    if (step.takes) {
      const { unit, per } = step.takes;
      add(step.takes, [...at, 'takes'], ['amount'], `${step.action}: what it takes in ${unit} per ${per}`);
    }
  });
  protocol.controls.forEach((control, i) =>
    add(control, ['controls', i], ['material', 'expected', 'when'], `Control "${control.id}"`),
  );
  if (protocol.change) {
    add(
      protocol.change,
      ['change'],
      ['text', 'maxSlides', 'maxDays', 'maxPatientsPerAliquot', 'filter'],
      'Change of shared reagents',
    );
  }
  protocol.storage?.forEach((line, i) => add(line, ['storage', i], ['text'], 'Storage'));
  return figures;
}

function statusOf(figure: Figure): unknown {
  return figure.holder[figure.standing];
}

function valueOf(holder: Record<string, unknown>, keys: readonly string[]): FigureValue {
  return Object.fromEntries(
    keys.flatMap((key) => {
      const value = holder[key];
      return typeof value === 'string' || typeof value === 'number' ? [[key, value]] : [];
    }),
  );
}
