import type { Caution } from '../protocol/protocol.js';

/** A hazard as its statement says it, and in one or two words for where little fits. */
interface Hazard {
  statement: string;
  word: string;
}

/** Hazard statements by code. Source: UN GHS Annex 3 and Regulation (EC) 1272/2008 Annexes II and III, from memory. */
const HAZARDS: Record<string, Hazard> = {
  H201: { statement: 'Explosive; mass explosion hazard', word: 'explosive' },
  H225: { statement: 'Highly flammable liquid and vapour', word: 'highly flammable' },
  H226: { statement: 'Flammable liquid and vapour', word: 'flammable' },
  H228: { statement: 'Flammable solid', word: 'flammable' },
  H271: { statement: 'May cause fire or explosion; strong oxidiser', word: 'strong oxidiser' },
  H272: { statement: 'May intensify fire; oxidiser', word: 'oxidiser' },
  H290: { statement: 'May be corrosive to metals', word: 'corrodes metal' },
  H300: { statement: 'Fatal if swallowed', word: 'fatal if swallowed' },
  H301: { statement: 'Toxic if swallowed', word: 'toxic' },
  H302: { statement: 'Harmful if swallowed', word: 'harmful' },
  H304: { statement: 'May be fatal if swallowed and enters airways', word: 'aspiration hazard' },
  H310: { statement: 'Fatal in contact with skin', word: 'fatal on skin' },
  H311: { statement: 'Toxic in contact with skin', word: 'toxic' },
  H312: { statement: 'Harmful in contact with skin', word: 'harmful' },
  H314: { statement: 'Causes severe skin burns and eye damage', word: 'corrosive' },
  H315: { statement: 'Causes skin irritation', word: 'irritant' },
  H317: { statement: 'May cause an allergic skin reaction', word: 'skin allergy' },
  H318: { statement: 'Causes serious eye damage', word: 'eye damage' },
  H319: { statement: 'Causes serious eye irritation', word: 'irritant' },
  H330: { statement: 'Fatal if inhaled', word: 'fatal if inhaled' },
  H331: { statement: 'Toxic if inhaled', word: 'toxic' },
  H332: { statement: 'Harmful if inhaled', word: 'harmful' },
  H334: { statement: 'May cause allergy or asthma symptoms or breathing difficulties if inhaled', word: 'asthma' },
  H335: { statement: 'May cause respiratory irritation', word: 'irritant' },
  H336: { statement: 'May cause drowsiness or dizziness', word: 'drowsiness' },
  H340: { statement: 'May cause genetic defects', word: 'genetic defects' },
  H341: { statement: 'Suspected of causing genetic defects', word: 'genetic defects' },
  H350: { statement: 'May cause cancer', word: 'cancer' },
  H351: { statement: 'Suspected of causing cancer', word: 'cancer' },
  H360: { statement: 'May damage fertility or the unborn child', word: 'harms unborn child' },
  H361: { statement: 'Suspected of damaging fertility or the unborn child', word: 'harms unborn child' },
  H370: { statement: 'Causes damage to organs', word: 'organ damage' },
  H371: { statement: 'May cause damage to organs', word: 'organ damage' },
  H372: { statement: 'Causes damage to organs through prolonged or repeated exposure', word: 'organ damage' },
  H373: { statement: 'May cause damage to organs through prolonged or repeated exposure', word: 'organ damage' },
  H400: { statement: 'Very toxic to aquatic life', word: 'harms waters' },
  H410: { statement: 'Very toxic to aquatic life with long lasting effects', word: 'harms waters' },
  H411: { statement: 'Toxic to aquatic life with long lasting effects', word: 'harms waters' },
  H412: { statement: 'Harmful to aquatic life with long lasting effects', word: 'harms waters' },
  EUH031: { statement: 'Contact with acids liberates toxic gas', word: 'toxic gas with acids' },
  EUH032: { statement: 'Contact with acids liberates very toxic gas', word: 'toxic gas with acids' },
  EUH066: { statement: 'Repeated exposure may cause skin dryness or cracking', word: 'dries skin' },
};

/** The hazard marking of a secondary container. */
export interface HazardMark {
  /** One only: Danger goes before Warning (Regulation (EC) 1272/2008 Article 20(3), from memory). */
  signal: 'Danger' | 'Warning' | null;
  /** In the order of their codes. */
  codes: string[];
  statements: string[];
  /** The same in as few words as tell it. */
  words: string[];
}

/**
 * What a secondary container's label has to say of hazards: words that give at least general information (29 CFR
 * 1910.1200(f)(6)(ii), from memory). Null when nothing is dangerous. A pre-fill: the safety data sheet of the product decides.
 */
export function hazardMark(cautions: readonly Caution[]): HazardMark | null {
  const codes = [...new Set(cautions.flatMap((caution) => caution.codes))].sort();
  const signals = cautions.map(({ signal }) => signal);
  const signal = signals.includes('Danger') ? 'Danger' : signals.includes('Warning') ? 'Warning' : null;
  if (codes.length === 0 && signal === null) return null;
  const known = codes.map((code) => HAZARDS[code] ?? HAZARDS[code.slice(0, 4)] ?? { statement: code, word: code });
  return {
    signal,
    codes,
    statements: known.map(({ statement }) => statement),
    words: [...new Set(known.map(({ word }) => word))],
  };
}
