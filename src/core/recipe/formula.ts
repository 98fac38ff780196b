import { Refusal } from '../refusal.js';
import { ATOMIC_WEIGHTS } from './atomic-weights.js';

const CLOSING: Record<string, string> = { '(': ')', '[': ']' };

/**
 * Molar mass of a formula in g/mol, as the sum of its standard atomic weights (IUPAC); the water of a hydrate is written
 * after a full stop or a raised dot. Refuses an unknown element and whatever else is no formula.
 * `molarMass('KAl(SO4)2.12H2O')` is 474.37.
 */
export function molarMass(formula: string): number {
  return new FormulaReader(formula).mass();
}

class FormulaReader {
  #at = 0;

  constructor(readonly formula: string) {}

  mass(): number {
    let total = this.#group();
    while (this.#take(/[.·]/y) !== undefined) {
      const times = this.#take(/\d+(?:\.\d+)?/y);
      total += this.#times(times) * this.#group();
    }
    if (this.#at < this.formula.length) throw this.#wrong('an element, a bracket or a full stop before water');
    // Sums of decimal weights carry noise in the last binary digits.
    return Number(total.toPrecision(13));
  }

  #group(): number {
    const start = this.#at;
    let total = 0;
    for (;;) {
      const mass = this.#unit();
      if (mass === undefined) break;
      total += mass * this.#times(this.#take(/\d+/y));
    }
    if (this.#at === start) throw this.#wrong('an element');
    return total;
  }

  /** One element or one bracket; undefined when neither stands here. */
  #unit(): number | undefined {
    const symbol = this.#take(/[A-Z][a-z]?/y);
    if (symbol !== undefined) {
      const weight = ATOMIC_WEIGHTS.get(symbol);
      if (weight === undefined) {
        throw refused(
          `"${symbol}" in "${this.formula}" is no element with a standard atomic weight; write one such as Na`,
        );
      }
      return weight;
    }
    const opening = this.#take(/[([]/y);
    if (opening === undefined) return undefined;
    const inside = this.#group();
    const closing = CLOSING[opening];
    if (this.#take(/[)\]]/y) !== closing) {
      throw refused(`the bracket "${opening}" in "${this.formula}" is not closed; close it with "${closing}"`);
    }
    return inside;
  }

  #times(digits: string | undefined): number {
    const count = digits === undefined ? 1 : Number(digits);
    if (!(count > 0))
      throw refused(`"${this.formula}" counts something ${digits} times; give at least 1 or leave it out`);
    return count;
  }

  #take(pattern: RegExp): string | undefined {
    pattern.lastIndex = this.#at;
    const [found] = pattern.exec(this.formula) ?? [];
    if (found !== undefined) this.#at += found.length;
    return found;
  }

  #wrong(right: string): Refusal {
    const here = this.formula.slice(this.#at, this.#at + 1);
    const found = here === '' ? 'ends too early' : `has "${here}" at place ${this.#at + 1}`;
    return refused(`"${this.formula}" ${found}; expected ${right}, as in KAl(SO4)2.12H2O`);
  }
}

function refused(message: string): Refusal {
  return new Refusal('invalid', 'bad-formula', message);
}
