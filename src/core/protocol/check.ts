import { USUAL_UNIT } from '../ledger/amount.js';
import { convert } from '../recipe/quantity.js';
import { Refusal } from '../refusal.js';
import { CONTROL_TIMES } from './protocol.js';
import type { Caution, ControlKind, Protocol, Reagent, StainCategory, Step, StepTake } from './protocol.js';
import type { Source } from './catalogue.js';
import type { Path, Problem } from './problem.js';
import { stockUnitFault, unitFault } from './units.js';

/** What a protocol may name. */
export interface Vocabulary {
  reagents: readonly Reagent[];
  sources: readonly Source[];
}

/** GHS hazard statement codes with their suffixes and the supplemental ones of the EU. Source: UN GHS, Annex 3; Regulation (EC) 1272/2008. */
export const GHS_CODE = /^(H[234]\d{2}(i|[FfDd]{1,2})?|EUH\d{3}A?)$/;

export interface ControlRule {
  kinds: ControlKind[];
  /** The longest clock that satisfies the rule. */
  when: (typeof CONTROL_TIMES)[number];
  rule: string;
}

const EACH_USE: ControlRule = {
  kinds: ['positive', 'negative'],
  when: 'each use',
  rule: '42 CFR 493.1256(e)(3) and 493.1273(a)',
};

/** The published rule of each category: which kinds of control, and how often at least. */
export const CONTROL_RULES: Record<StainCategory, ControlRule> = {
  fluorescent: EACH_USE,
  immunohistochemical: EACH_USE,
  // The law has no line of its own for it; the rule for immunohistochemical stains is the default.
  'in-situ-hybridisation': EACH_USE,
  special: { kinds: ['positive'], when: 'each group of slides', rule: '42 CFR 493.1273(a)' },
  routine: { kinds: ['positive'], when: 'each day of use', rule: '42 CFR 493.1256(e)(2)' },
};

/** Longer clocks that the law grants; a control claims one by naming the law's key among its sources. */
export const EXCEPTIONS: { when: (typeof CONTROL_TIMES)[number]; source: string; rule: string }[] = [
  { when: 'each week of use', source: 'cfr1261', rule: 'Gram stain of smears, 42 CFR 493.1261(a)(2)' },
  { when: 'each month of use', source: 'cfr1264', rule: 'permanent stains for parasites, 42 CFR 493.1264(c)' },
];

/**
 * Everything that is wrong across the fields of a protocol whose form is right; empty when it may be kept. It looks at
 * the order of limits, names that must exist, units (UCUM), hazard codes (GHS) and the controls that the category asks
 * for (42 CFR 493.1256(e), 493.1261, 493.1264, 493.1273(a)).
 */
export function checkProtocol(protocol: Protocol, vocabulary: Vocabulary): Problem[] {
  const sourceKeys = new Set(vocabulary.sources.map((source) => source.key));
  const reagents = new Map(vocabulary.reagents.map((reagent) => [reagent.code, reagent]));
  return [
    ...duplicates(protocol.steps, 'id', ['steps']),
    ...duplicates(protocol.releasePoints, 'id', ['releasePoints']),
    ...duplicates(protocol.controls, 'id', ['controls']),
    ...protocol.steps.flatMap((step, index) => checkStep(step, index, reagents, sourceKeys)),
    ...checkReleasePoints(protocol),
    ...checkControls(protocol),
    ...protocol.controls.flatMap((control, i) =>
      missingSources(control.sources, ['controls', i, 'sources'], sourceKeys),
    ),
    ...protocol.cautions.flatMap((caution, i) => checkCaution(caution, ['cautions', i], sourceKeys)),
    ...protocol.fitness.flatMap((fitness, i) => missingSources(fitness.sources, ['fitness', i, 'sources'], sourceKeys)),
    ...missingSources(protocol.sources, ['sources'], sourceKeys),
  ];
}

/**
 * Everything that is wrong across the entries of a catalogue of reagents whose form is right: codes given twice, stand-ins
 * that are no reagents, hazard codes that are none, sources that do not exist.
 */
export function checkCatalogue(reagents: readonly Reagent[], sources: readonly Source[]): Problem[] {
  const sourceKeys = new Set(sources.map((source) => source.key));
  const codes = new Set(reagents.map((reagent) => reagent.code));
  return [
    ...duplicates(reagents, 'code', ['reagents']),
    ...reagents.flatMap((reagent, i) => [
      ...stockUnit(reagent, ['reagents', i, 'unit']),
      ...storageWindow(reagent, ['reagents', i, 'storage', 'min']),
      ...(reagent.acceptedInstead ?? []).flatMap((code, k) =>
        codes.has(code) && code !== reagent.code
          ? []
          : [
              {
                path: ['reagents', i, 'acceptedInstead', k],
                code: 'unknown-reagent',
                message: `"${code}" cannot stand in for "${reagent.code}"; name another reagent of this catalogue`,
              },
            ],
      ),
      ...(reagent.cautions ?? []).flatMap((caution, k) =>
        checkCaution(caution, ['reagents', i, 'cautions', k], sourceKeys),
      ),
    ]),
  ];
}

function stockUnit({ unit }: Reagent, path: Path): Problem[] {
  const fault = unit === undefined ? undefined : stockUnitFault(unit);
  return fault === undefined ? [] : [{ path, code: 'unit', message: fault }];
}

function storageWindow({ storage }: Reagent, path: Path): Problem[] {
  const { min, max } = storage ?? {};
  if (min === undefined || max === undefined || min <= max) return [];
  return [{ path, code: 'window', message: `min, ${min} Cel, lies above max, ${max} Cel; exchange them` }];
}

/** Keys that stand twice in a list of sources. */
export function checkSources(sources: readonly Source[]): Problem[] {
  return duplicates(sources, 'key', ['sources']);
}

function checkStep(
  step: Step,
  index: number,
  reagents: ReadonlyMap<string, Reagent>,
  sourceKeys: Set<string>,
): Problem[] {
  const at = ['steps', index] as const;
  const problems = [
    ...disorder(step.time, [...at, 'time']),
    ...missingSources(step.sources, [...at, 'sources'], sourceKeys),
  ];
  const add = (path: Path, code: string, message: string) => problems.push({ path: [...at, ...path], code, message });

  if (step.time.min === 0) {
    add(
      ['time', 'min'],
      'empty-minimum',
      'a minimum of 0 says nothing; leave min out, as for a handling step, or give one above 0',
    );
  }
  if (step.reagent !== undefined && !reagents.has(step.reagent)) {
    const near = nearest(step.reagent, reagents.keys());
    add(
      ['reagent'],
      'unknown-reagent',
      `"${step.reagent}" is not in the catalogue of reagents; ${near ? `did you mean "${near}"?` : 'add it there or name one that is'}`,
    );
  }
  if (step.gap && index === 0) {
    add(['gap'], 'gap-before-first', 'the first step has no step before it to keep a gap from; leave gap out');
  }
  if (step.concentration) {
    const { value, unit } = step.concentration;
    if ((value === undefined) !== (unit === undefined)) {
      add(['concentration'], 'half-quantity', 'value and unit belong together; give both or leave both to the text');
    }
    const fault = unit === undefined ? undefined : unitFault(unit, 'concentration');
    if (fault) {
      add(['concentration', 'unit'], 'unit', fault);
    }
  }
  if (step.temperature) {
    problems.push(...disorder(step.temperature, [...at, 'temperature']));
    const fault = unitFault(step.temperature.unit, 'temperature');
    if (fault) {
      add(['temperature', 'unit'], 'unit', fault);
    }
  }
  if (step.takes) {
    const known = step.reagent === undefined ? undefined : reagents.get(step.reagent);
    if (step.reagent === undefined) {
      add(['takes'], 'take-of-nothing', 'a step without a reagent takes nothing; name the reagent, or leave takes out');
    }
    if (step.takes.amount === 0) {
      add(['takes', 'amount'], 'empty-take', 'an amount of 0 debits nothing; leave takes out, or give one above 0');
    }
    const fault = takeFault(step.takes, known?.unit ?? USUAL_UNIT);
    if (fault) {
      add(['takes', 'unit'], 'unit', fault);
    }
  }
  return problems;
}

/** What a step takes is debited in the unit in which the ledger counts the reagent, so it must convert to it. */
function takeFault({ unit }: StepTake, declared: string): string | undefined {
  try {
    convert({ value: 1, unit }, declared);
    return undefined;
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}

function disorder(limits: { min?: number; target: number; max?: number }, path: Path): Problem[] {
  const { min, target, max } = limits;
  const found = (key: string, message: string) => [{ path: [...path, key], code: 'disorder', message }];
  if (min !== undefined && max !== undefined && min > max) {
    return found('min', `min ${min} is above max ${max}; min, target and max must rise in this order`);
  }
  if (min !== undefined && min > target) {
    return found('min', `min ${min} is above target ${target}; min, target and max must rise in this order`);
  }
  if (max !== undefined && max < target) {
    return found('max', `max ${max} is below target ${target}; min, target and max must rise in this order`);
  }
  return [];
}

function checkReleasePoints(protocol: Protocol): Problem[] {
  const order = protocol.steps.map((step) => step.id);
  let last = -1;
  return protocol.releasePoints.flatMap((point, i) => {
    const path = ['releasePoints', i, 'after'];
    const at = order.indexOf(point.after);
    if (at < 0) {
      const near = nearest(point.after, order);
      return [
        {
          path,
          code: 'unknown-step',
          message: `there is no step "${point.after}"; ${near ? `did you mean "${near}"?` : 'name the id of a step'}`,
        },
      ];
    }
    if (protocol.steps[at]?.optional) {
      return [
        {
          path,
          code: 'optional-step',
          message: `step "${point.after}" may be left out; name one that always ends before the result leaves`,
        },
      ];
    }
    if (at < last) {
      return [
        {
          path,
          code: 'release-order',
          message: `release points stand in the order of their steps; put "${point.id}" before the point above it`,
        },
      ];
    }
    last = at;
    return [];
  });
}

function checkControls(protocol: Protocol): Problem[] {
  const { kinds, when, rule } = CONTROL_RULES[protocol.category];
  return kinds
    .filter(
      (kind) =>
        !protocol.controls.some(
          (control) =>
            control.required &&
            control.kind === kind &&
            (CONTROL_TIMES.indexOf(control.when) <= CONTROL_TIMES.indexOf(when) ||
              (protocol.category === 'special' &&
                EXCEPTIONS.some(
                  (exception) => exception.when === control.when && control.sources.includes(exception.source),
                ))),
        ),
    )
    .map((kind) => ({
      path: ['controls'],
      code: 'missing-control',
      message: `a protocol of category "${protocol.category}" needs a required ${kind} control at "${when}" (${rule}); add one${
        protocol.category === 'special'
          ? `, or name the exception's source: ${EXCEPTIONS.map((e) => `${e.source} for "${e.when}" (${e.rule})`).join(', ')}`
          : ''
      }`,
    }));
}

function checkCaution(caution: Caution, path: Path, sourceKeys: Set<string>): Problem[] {
  return [
    ...caution.codes.flatMap((code, i) =>
      GHS_CODE.test(code)
        ? []
        : [
            {
              path: [...path, 'codes', i],
              code: 'ghs-code',
              message: `"${code}" is no GHS hazard code; write one such as H350, H361d or EUH032, and put words into advice`,
            },
          ],
    ),
    ...missingSources([caution.source], [...path, 'source'], sourceKeys, true),
  ];
}

export function missingSources(keys: readonly string[], path: Path, known: Set<string>, single = false): Problem[] {
  return keys.flatMap((key, i) => {
    if (known.has(key)) {
      return [];
    }
    const near = nearest(key, known);
    return [
      {
        path: single ? path : [...path, i],
        code: 'unknown-source',
        message: `"${key}" is not in the list of sources; ${near ? `did you mean "${near}"?` : 'add it there or name one that is'}`,
      },
    ];
  });
}

export function duplicates<K extends string>(items: readonly Record<K, string>[], key: K, path: Path): Problem[] {
  const seen = new Set<string>();
  return items.flatMap((item, i) => {
    const value = item[key];
    if (seen.has(value)) {
      return [
        { path: [...path, i, key], code: 'duplicate', message: `"${value}" stands twice; give each its own ${key}` },
      ];
    }
    seen.add(value);
    return [];
  });
}

/** The known name that differs from `name` by at most two letters, if one does. */
export function nearest(name: string, known: Iterable<string>): string | undefined {
  let best: string | undefined;
  let least = 3;
  for (const candidate of known) {
    const distance = editDistance(name, candidate);
    if (distance < least) {
      best = candidate;
      least = distance;
    }
  }
  return best;
}

function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(change, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
