import type { Caution, Reagent } from '../../core/protocol/protocol.js';
import { typedNumber } from '../parts/typed-number.js';

/** A caution as it is typed. */
export interface CautionTyped {
  /** Tells rows apart while they are edited. */
  key: number;
  agent: string;
  codes: string;
  signal: Caution['signal'];
  advice: string;
  source: string;
}

/** An entry as it is typed: texts, empty where nothing was given. */
export interface EntryTyped {
  code: string;
  name: string;
  kind: Reagent['kind'];
  unit: string;
  min: string;
  max: string;
  dark: boolean;
  openedLife: string;
  classes: NonNullable<Reagent['storageClasses']>;
  special: NonNullable<Reagent['special']> | 'none';
  waterCheckEvery: string;
  cautions: readonly CautionTyped[];
}

export function typedOf(reagent: Reagent | null): EntryTyped {
  return {
    code: reagent?.code ?? '',
    name: reagent?.name ?? '',
    kind: reagent?.kind ?? 'solution',
    unit: reagent?.unit ?? '',
    min: reagent?.storage?.min?.toString() ?? '',
    max: reagent?.storage?.max?.toString() ?? '',
    dark: reagent?.storage?.dark ?? false,
    openedLife: reagent?.openedLife ?? '',
    classes: reagent?.storageClasses ?? [],
    special: reagent?.special ?? 'none',
    waterCheckEvery: reagent?.waterCheckEvery ?? '',
    cautions: (reagent?.cautions ?? []).map(({ agent, codes, signal, advice, source }, key) => ({
      ...{ key, agent, signal, source },
      codes: codes.join(' '),
      advice: advice ?? '',
    })),
  };
}

/** Whether degrees were typed that are none. */
export function wrongDegrees(text: string): boolean {
  return text.trim() !== '' && !(Math.abs(typedNumber(text)) < 1000);
}

/** The entry to be saved; what the form does not ask about stays as it was. */
export function entryOf(typed: EntryTyped, before: Reagent | null): Reagent {
  const { classes, special } = typed;
  const [unit, life, every] = [typed.unit.trim(), typed.openedLife.trim(), typed.waterCheckEvery.trim()];
  const need = {
    ...(typed.min.trim() !== '' && { min: typedNumber(typed.min) }),
    ...(typed.max.trim() !== '' && { max: typedNumber(typed.max) }),
    ...((typed.dark || before?.storage?.dark !== undefined) && { dark: typed.dark }),
  };
  const { status: stood, ...needed } = before?.storage ?? {};
  const kept = stood !== undefined && JSON.stringify(sorted(needed)) === JSON.stringify(sorted(need));
  const cautions = typed.cautions.map(({ agent, codes, signal, advice, source }): Caution => ({
    agent: agent.trim(),
    codes: codes.split(/[\s,;]+/).filter(Boolean),
    ...{ signal, source },
    ...(advice.trim() !== '' && { advice: advice.trim() }),
  }));
  return {
    code: typed.code.trim(),
    name: typed.name.trim(),
    kind: typed.kind,
    ...(before?.acceptedInstead && { acceptedInstead: before.acceptedInstead }),
    ...(cautions.length > 0 && { cautions }),
    ...(life !== '' && { openedLife: life }),
    ...(unit !== '' && { unit }),
    ...(Object.keys(need).length > 0 && {
      storage: { ...need, status: kept ? stood : ('set by this laboratory' as const) },
    }),
    ...(classes.length > 0 && { storageClasses: classes }),
    ...(special !== 'none' && { special }),
    ...(special === 'picric acid' && every !== '' && { waterCheckEvery: every }),
  };
}

function sorted(need: object): [string, unknown][] {
  return Object.entries(need).sort(([a], [b]) => (a < b ? -1 : 1));
}
