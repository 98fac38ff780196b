import { EventEmitter } from 'node:events';
import type { Clock } from '../clock.js';
import { Batch, changesOf, type Once, type Outcome, SpoiledBatch, type Waiting } from './batch.js';
import { type Connections, disconnect } from './data-source.js';
import { Memory } from './memory.js';
import { listenForChanges } from './postgres-notify.js';
import { UnknownOutcome } from './transaction.js';
import type { Actor, Unit } from './unit.js';
import { View } from './view.js';

export type { Once } from './batch.js';

/** More than these in one commit make the first wait too long for the last. */
const BATCH = 64;

/**
 * The one door to the database. Writes go through `change`, one after another: all that wait are committed together, each
 * in a savepoint of its own, and each is acknowledged only after the commit.
 */
export class Store {
  /**
   * Emits 'changed' with a `Changed` after each commit, in the order of the record, and 'missed' when other processes may
   * have committed unheard. Of housekeeping, only what queued a job or told a person something is heard.
   */
  readonly feed = new EventEmitter();
  private readonly waiting: Waiting[] = [];
  private readonly memory = new Memory();
  private busy: Promise<void> | null = null;
  private stopListening: (() => Promise<void>) | null = null;

  constructor(
    readonly connections: Connections,
    private readonly clock: Clock,
  ) {
    this.feed.setMaxListeners(0);
  }

  /** On PostgreSQL, also hears what other processes commit. */
  async listen(): Promise<void> {
    if (this.connections.address.kind !== 'postgres') return;
    this.stopListening = await listenForChanges(
      this.connections.address,
      (changed) => this.feed.emit('changed', changed),
      () => this.feed.emit('missed'),
    );
  }

  async close(): Promise<void> {
    await this.busy;
    await this.stopListening?.();
    await disconnect(this.connections);
  }

  /** Reads rows of one laboratory; sees only what is committed. */
  read<T>(laboratoryId: string, work: (view: View) => Promise<T>): Promise<T> {
    return work(new View(this.connections.reader.manager, this.memory, laboratoryId));
  }

  /**
   * Does one act: runs `work`, appends its entry to the record and answers what it returned, all in one transaction.
   * `work` may run a second time after a conflict, so it has no effect outside of its unit. With `once`, a repeat of the
   * same request answers what the first one got.
   */
  change<T>(actor: Actor, act: string, work: (unit: Unit) => Promise<T>, once?: Once): Promise<T> {
    return this.queue(actor, act, work, once);
  }

  /** Writes rows that are no part of the record, such as the state of a job: the same queue, no entry, no fact rows. */
  housekeep<T>(laboratoryId: string, work: (unit: Unit) => Promise<T>): Promise<T> {
    return this.queue({ laboratoryId, personId: null, deviceId: null }, null, work, undefined);
  }

  private queue<T>(
    actor: Actor,
    act: string | null,
    work: (unit: Unit) => Promise<T>,
    once: Once | undefined,
  ): Promise<T> {
    return new Promise<T>((resolve, reject) => {
      this.waiting.push({ actor, act, work, once, resolve: resolve as (value: unknown) => void, reject });
      this.busy ??= this.drain();
    });
  }

  private async drain(): Promise<void> {
    // Let requests that arrived in the same turn join the first batch.
    await Promise.resolve();
    while (this.waiting.length > 0) await this.commit(this.waiting.splice(0, BATCH));
    this.busy = null;
  }

  private async commit(acts: Waiting[]): Promise<void> {
    let outcome: Outcome;
    try {
      outcome = await this.batch(false).commit(acts);
    } catch (error) {
      await this.commitAgain(acts, error);
      return;
    }
    this.tell(outcome);
  }

  /** After a batch that failed as a whole: with savepoints if a unit spoiled it; failing that, each act alone. */
  private async commitAgain(acts: Waiting[], error: unknown): Promise<void> {
    let last = error;
    let outcome: Outcome | null = null;
    if (error instanceof SpoiledBatch) {
      try {
        outcome = await this.batch(true).commit(acts);
      } catch (again) {
        last = again;
      }
    }
    if (outcome) this.tell(outcome);
    else if (acts.length === 1 || last instanceof UnknownOutcome) for (const { reject } of acts) reject(last);
    else for (const act of acts) await this.commit([act]);
  }

  private batch(savepoints: boolean): Batch {
    return new Batch(this.connections, this.clock, this.memory, savepoints);
  }

  private tell(outcome: Outcome): void {
    for (const { waiting, error } of outcome.refused) waiting.reject(error);
    for (const { waiting, answer } of outcome.done) waiting.resolve(answer);
    for (const changed of changesOf(outcome)) this.feed.emit('own', changed);
    // While it listens, PostgreSQL tells of this process's commits as well.
    if (this.stopListening !== null) return;
    for (const changed of changesOf(outcome)) this.feed.emit('changed', changed);
  }
}
