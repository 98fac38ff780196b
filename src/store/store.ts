import { EventEmitter } from 'node:events';
import type { EntityManager, QueryRunner } from 'typeorm';
import type { Clock } from '../clock.js';
import { canonicalText, GENESIS, linkOf, sha256 } from '../core/record/record.js';
import { Refusal } from '../core/refusal.js';
import type { Changed } from './changed.js';
import { type Connections, disconnect } from './data-source.js';
import { listenForChanges, tellOtherProcesses } from './postgres-notify.js';
import { AnsweredRequestRow, HeadRow, RecordRow } from './rows/record.entity.js';
import { type Actor, Unit } from './unit.js';
import { View } from './view.js';

/** Names a request whose repeat must have no second effect. */
export interface Once {
  /** Chosen by whoever asks; the same for every repeat. */
  key: string;
  /** What was asked; the same key with another request is refused. */
  request: unknown;
}

interface Waiting {
  actor: Actor;
  /** Null for housekeeping, which appends no entry. */
  act: string | null;
  work: (unit: Unit) => Promise<unknown>;
  once: Once | undefined;
  resolve: (value: unknown) => void;
  reject: (reason: unknown) => void;
}

interface Done {
  waiting: Waiting;
  answer: unknown;
  changed: Changed | null;
}

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
    return work(new View(this.connections.reader.manager, laboratoryId));
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
    while (this.waiting.length > 0) {
      const batch = this.waiting.splice(0, BATCH);
      try {
        await this.commit(batch);
      } catch (error) {
        if (batch.length === 1) batch[0]?.reject(error);
        else await this.oneByOne(batch);
      }
    }
    this.busy = null;
  }

  /** After a commit that failed as a whole: each unit alone, so that one cannot spoil the others. */
  private async oneByOne(batch: Waiting[]): Promise<void> {
    for (const waiting of batch) {
      try {
        await this.commit([waiting]);
      } catch (error) {
        waiting.reject(error);
      }
    }
  }

  private async commit(batch: Waiting[]): Promise<void> {
    const runner = this.connections.writer.createQueryRunner();
    const refused: { waiting: Waiting; error: unknown }[] = [];
    const done: Done[] = [];
    try {
      await runner.query(this.connections.address.kind === 'sqlite' ? 'BEGIN IMMEDIATE' : 'BEGIN');
      try {
        const heads = new Map<string, HeadRow>();
        for (const waiting of batch) {
          const { laboratoryId } = waiting.actor;
          const head = heads.get(laboratoryId) ?? (await this.lockHead(runner.manager, laboratoryId));
          heads.set(laboratoryId, head);
          await runner.query('SAVEPOINT unit');
          try {
            done.push(await this.run(runner.manager, waiting, head));
            await runner.query('RELEASE SAVEPOINT unit');
          } catch (error) {
            await runner.query('ROLLBACK TO SAVEPOINT unit');
            await runner.query('RELEASE SAVEPOINT unit');
            refused.push({ waiting, error });
          }
        }
        for (const head of heads.values()) {
          await runner.manager.update(HeadRow, { laboratoryId: head.laboratoryId }, { seq: head.seq, hash: head.hash });
        }
        if (this.connections.address.kind === 'postgres') await tellOtherProcesses(runner, changesOf(done));
        await runner.query('COMMIT');
      } catch (error) {
        await runner.query('ROLLBACK').catch(() => undefined);
        throw error;
      }
    } finally {
      await releaseRunner(runner, this.connections.address.kind);
    }
    for (const { waiting, error } of refused) waiting.reject(error);
    for (const { waiting, answer } of done) waiting.resolve(answer);
    if (this.stopListening === null) {
      for (const changed of changesOf(done)) this.feed.emit('changed', changed);
    }
  }

  private async run(manager: EntityManager, waiting: Waiting, head: HeadRow): Promise<Done> {
    const { actor, act, work, once } = waiting;
    const request =
      once && sha256(canonicalText({ person: actor.personId, device: actor.deviceId, act, request: once.request }));
    if (once) {
      const before = await manager.findOneBy(AnsweredRequestRow, { laboratoryId: actor.laboratoryId, key: once.key });
      if (before) {
        if (before.request !== request) {
          throw new Refusal(
            'conflict',
            'key-reused',
            `The idempotency key "${once.key}" was used before for another request; choose a new key for a new request.`,
          );
        }
        return { waiting, answer: JSON.parse(before.answer), changed: null };
      }
    }
    const unit = new Unit(manager, actor, act, head.seq + 1, this.clock.now());
    const answer = await work(unit);
    if (once) {
      await manager.insert(AnsweredRequestRow, {
        laboratoryId: actor.laboratoryId,
        key: once.key,
        at: unit.at,
        request: request as string,
        answer: JSON.stringify(answer ?? null),
      });
    }
    const entry = unit.entry();
    if (!entry) return { waiting, answer, changed: heardOfHousekeeping(unit, head.seq) };
    const link = linkOf(head.hash, entry);
    await manager.insert(RecordRow, {
      laboratoryId: entry.laboratory,
      seq: entry.seq,
      at: entry.at,
      act: entry.act,
      subjectKind: entry.subject.kind,
      subjectId: entry.subject.id,
      personId: entry.actor.person,
      body: link.body,
      hash: link.hash,
    });
    head.seq = link.seq;
    head.hash = link.hash;
    return {
      waiting,
      answer,
      changed: {
        laboratoryId: entry.laboratory,
        seq: entry.seq,
        act: entry.act,
        subject: entry.subject,
        jobs: unit.queuedJobs,
      },
    };
  }

  private async lockHead(manager: EntityManager, laboratoryId: string): Promise<HeadRow> {
    const lock = this.connections.address.kind === 'postgres' ? 'FOR UPDATE' : '';
    const find = async (): Promise<HeadRow | undefined> => {
      const rows = (await manager.query(`SELECT seq, hash FROM record_head WHERE laboratory_id = $1 ${lock}`, [
        laboratoryId,
      ])) as HeadRow[];
      return rows[0] && { ...rows[0], laboratoryId };
    };
    const head = await find();
    if (head) return head;
    await manager.query(
      'INSERT INTO record_head (laboratory_id, seq, hash) VALUES ($1, 0, $2) ON CONFLICT DO NOTHING',
      [laboratoryId, GENESIS],
    );
    return (await find()) as HeadRow;
  }
}

function heardOfHousekeeping({ laboratoryId, told, queuedJobs }: Unit, seq: number): Changed | null {
  if (told === null && !queuedJobs) return null;
  const subject = told === null ? { kind: 'laboratory', id: laboratoryId } : { kind: 'notice', id: told };
  return { laboratoryId, seq, act: 'housekeeping', subject, jobs: queuedJobs };
}

function changesOf(done: Done[]): Changed[] {
  return done.flatMap(({ changed }) => (changed ? [changed] : []));
}

async function releaseRunner(runner: QueryRunner, kind: 'sqlite' | 'postgres'): Promise<void> {
  // SQLite's runner is shared and lives as long as the connection.
  if (kind === 'postgres') await runner.release();
}
