import type { Instant } from './core/time/instant.js';
import { instantOf } from './core/time/instant.js';

/** Where the program reads the time; tests and the demo move one by hand. */
export abstract class Clock {
  abstract now(): Instant;
}

export class SystemClock extends Clock {
  now(): Instant {
    return instantOf(Date.now());
  }
}

/** A clock that stands until it is moved. */
export class HandClock extends Clock {
  constructor(private ms: number) {
    super();
  }

  now(): Instant {
    return instantOf(this.ms);
  }

  forward(ms: number): void {
    this.ms += ms;
  }

  set(at: Instant): void {
    this.ms = Date.parse(at);
  }
}
