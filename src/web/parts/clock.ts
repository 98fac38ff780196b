import type { BenchStamp } from '../../core/run/events.js';
import { type ClockExchange, type ClockOffset, clockOffset } from '../../core/time/duration.js';
import { instantOf } from '../../core/time/instant.js';

/** The two clocks of a browser: a steady one that nobody can set, and the device's wall clock. */
export interface Clocks {
  /** Milliseconds since some start; never set, never back. */
  steadyMs(): number;
  /** Milliseconds since 1970, which a person or the network may set. */
  wallMs(): number;
}

/** By how much a steady clock may be off, in millionths; a cheap quartz keeps this (common practice, no source). */
export const DRIFT_PPM = 100;

/** More than this between two looks is a jump of the wall clock or a sleep, beyond any slow correction of it. */
const JUMP_MS = 250;
const SLEW = 0.001;

/**
 * Time at the bench: the server's time as estimated at the last contact, carried on by the steady clock. The wall clock
 * is read once, at the start, and then only watched: when it moves against the steady one, the device slept or was set,
 * so a new clock session begins and nothing bounds the error until the next contact.
 */
export class BenchClock {
  #session: string;
  readonly #anchor: number;
  #watched: { steady: number; lead: number };
  #contact: (ClockOffset & { steady: number }) | null = null;
  #bounded = false;

  constructor(
    readonly clocks: Clocks,
    readonly device: string,
    readonly newId: () => string,
  ) {
    this.#session = newId();
    const steady = clocks.steadyMs();
    this.#anchor = clocks.wallMs() - steady;
    this.#watched = { steady, lead: this.#anchor };
  }

  /** Whether the true time is known within a bound, which it is from the first contact and again after each jump. */
  get bounded(): boolean {
    return this.#bounded;
  }

  /** Looks whether the device slept or was set since the last look, and then begins a new clock session. */
  watch(): boolean {
    const steady = this.clocks.steadyMs();
    const lead = this.clocks.wallMs() - steady;
    const jumped = Math.abs(lead - this.#watched.lead) > JUMP_MS + SLEW * (steady - this.#watched.steady);
    this.#watched = { steady, lead };
    if (jumped) {
      this.#session = this.newId();
      this.#bounded = false;
    }
    return jumped;
  }

  /** Now, with all that says by which clock and how surely. */
  now(): BenchStamp {
    this.watch();
    const steady = this.clocks.steadyMs();
    return {
      at: instantOf(this.#deviceMs(steady) + (this.#contact?.offsetMs ?? 0)),
      uncertaintyMs: this.#uncertaintyMs(steady),
      clockSession: this.#session,
      monotonicMs: Math.floor(steady),
      device: this.device,
      offsetMs: this.#contact?.offsetMs ?? null,
      roundTripMs: this.#contact?.roundTripMs ?? null,
      late: false,
    };
  }

  /** Measures the offset by one exchange; keeps the better of this and what is known, aged by drift (RFC 5905 section 8). */
  async exchange(ask: (t1: number) => Promise<Pick<ClockExchange, 't2' | 't3'>>): Promise<void> {
    this.watch();
    const session = this.#session;
    const t1 = this.#deviceMs(this.clocks.steadyMs());
    const { t2, t3 } = await ask(t1);
    const steady = this.clocks.steadyMs();
    if (this.watch() || session !== this.#session) return;
    const offset = clockOffset({ t1, t2, t3, t4: this.#deviceMs(steady) });
    const known = this.#uncertaintyMs(steady);
    if (known !== null && known < offset.uncertaintyMs) return;
    this.#contact = { ...offset, steady };
    this.#bounded = true;
  }

  /** The device's own reading, carried by the steady clock from the start of the page. */
  #deviceMs(steady: number): number {
    return Math.floor(this.#anchor + steady);
  }

  #uncertaintyMs(steady: number): number | null {
    if (!this.#contact || !this.#bounded) return null;
    return this.#contact.uncertaintyMs + Math.ceil(((steady - this.#contact.steady) * DRIFT_PPM) / 1e6) + 1;
  }
}
