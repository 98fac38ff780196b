import { Refusal } from '../refusal.js';
import { type Instant, readInstant } from './instant.js';

/** Reads one object of unknown JSON property by property and refuses what does not fit, naming where and what would be right. */
export class Fields {
  readonly #values: Map<string, unknown>;

  constructor(
    value: unknown,
    /** Path of this object within the whole, such as 'container.opened'. */
    readonly path = '',
  ) {
    if (typeof value !== 'object' || value === null || Array.isArray(value)) {
      throw malformed(path, `${path || 'the case'} must be an object`);
    }
    this.#values = new Map(Object.entries(value));
  }

  /** Names of its properties, for an object whose keys are data. */
  names(): string[] {
    return [...this.#values.keys()];
  }

  has(name: string): boolean {
    return this.#values.has(name);
  }

  hasList(name: string): boolean {
    return Array.isArray(this.#values.get(name));
  }

  /** Refuses properties that nobody would read, since a misspelt limit would be lost in silence. */
  onlyKeys(...names: string[]): this {
    const unknown = [...this.#values.keys()].find((name) => !names.includes(name));
    if (unknown !== undefined) {
      throw malformed(this.#at(unknown), `${this.#at(unknown)} is not known; known here: ${names.join(', ')}`);
    }
    return this;
  }

  text(name: string): string {
    const value = this.#values.get(name);
    if (typeof value !== 'string' || value === '') throw this.#wrong(name, 'a text that is not empty');
    return value;
  }

  instant(name: string): Instant {
    return readInstant(this.text(name));
  }

  flag(name: string): boolean {
    const value = this.#values.get(name);
    if (typeof value !== 'boolean') throw this.#wrong(name, 'true or false');
    return value;
  }

  number(name: string): number {
    const value = this.#values.get(name);
    if (!isNumber(value) || value < 0) throw this.#wrong(name, 'a number of at least 0');
    return value;
  }

  /** A number that may lie below 0. */
  signed(name: string): number {
    const value = this.#values.get(name);
    if (!isNumber(value)) throw this.#wrong(name, 'a number');
    return value;
  }

  /** A list of numbers of at least 0. */
  numbers(name: string): number[] {
    return this.#numbers(name, 'a number of at least 0', (number) => number >= 0);
  }

  /** A list of numbers that may lie below 0. */
  signedNumbers(name: string): number[] {
    return this.#numbers(name, 'a number', () => true);
  }

  /** What `read` makes of a property, or null where the case says that there is none. */
  orNull<T>(name: string, read: (name: string) => T): T | null {
    return this.#values.get(name) === null ? null : read(name);
  }

  /** A count of milliseconds, or null where the case says that there is none. */
  wholeMs(name: string): number | null {
    const value = this.#values.get(name);
    if (value === null) return null;
    if (typeof value !== 'number' || !Number.isSafeInteger(value) || value < 0) {
      throw this.#wrong(name, 'whole milliseconds of at least 0, or null for none');
    }
    return value;
  }

  /** A list as it stands, for the caller to read item by item. */
  values(name: string): readonly unknown[] {
    const value: unknown = this.#values.get(name);
    if (!Array.isArray(value)) throw this.#wrong(name, 'a list');
    return value;
  }

  object(name: string): Fields {
    return new Fields(this.#values.get(name), this.#at(name));
  }

  list(name: string): Fields[] {
    return this.values(name).map((item, index) => new Fields(item, `${this.#at(name)}.${index}`));
  }

  #numbers(name: string, right: string, fits: (number: number) => boolean): number[] {
    return this.values(name).map((item, index) => {
      const at = `${this.#at(name)}.${index}`;
      if (!isNumber(item) || !fits(item)) throw malformed(at, `${at} is ${JSON.stringify(item)}; give ${right}`);
      return item;
    });
  }

  #at(name: string): string {
    return this.path === '' ? name : `${this.path}.${name}`;
  }

  #wrong(name: string, right: string): Refusal {
    const value = this.#values.get(name);
    return malformed(
      this.#at(name),
      `${this.#at(name)} is ${value === undefined ? 'missing' : JSON.stringify(value)}; give ${right}`,
    );
  }
}

function isNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value);
}

function malformed(at: string, message: string): Refusal {
  return new Refusal('invalid', 'malformed-case', message, [{ at, message }]);
}
