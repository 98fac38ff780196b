import type { EntityManager, QueryRunner } from 'typeorm';
import type { Clock } from '../clock.js';
import { canonicalText, type ChainLink, type Entry, GENESIS, linkOf, sha256 } from '../core/record/record.js';
import { Refusal } from '../core/refusal.js';
import { announce } from './acts/announce.js';
import type { Changed } from './changed.js';
import type { Connections, DatabaseAddress } from './data-source.js';
import type { Memory } from './memory.js';
import { Pending } from './pending.js';
import { tellOtherProcesses } from './postgres-notify.js';
import { AnsweredRequestRow, type HeadRow, RecordRow } from './rows/record.entity.js';
import { begin, commit, UnknownOutcome } from './transaction.js';
import { type Actor, Unit } from './unit.js';

/** Names a request whose repeat must have no second effect. */
export interface Once {
  /** Chosen by whoever asks; the same for every repeat. */
  key: string;
  /** What was asked; the same key with another request is refused. */
  request: unknown;
}

/** An act that waits for its turn. */
export interface Waiting {
  actor: Actor;
  /** Null for housekeeping, which appends no entry. */
  act: string | null;
  work: (unit: Unit) => Promise<unknown>;
  once: Once | undefined;
  resolve: (value: unknown) => void;
  reject: (reason: unknown) => void;
}

/** What became of the acts of a batch, to be told after its commit. */
export interface Outcome {
  done: { waiting: Waiting; answer: unknown; changed: Changed | null }[];
  refused: { waiting: Waiting; error: unknown }[];
}

/** A unit failed after it had written: only with savepoints can the others of its batch be kept. */
export class SpoiledBatch extends Error {
  constructor(override readonly cause: unknown) {
    super('a unit failed after it had written');
  }
}

/**
 * One transaction for several acts, each a unit of its own. `savepoints` costs two statements an act and is needed only
 * when one fails after it has written; without it such a failure throws `SpoiledBatch` and nothing is kept.
 */
export class Batch {
  private readonly heads = new Map<string, HeadRow>();
  private readonly answered = new Map<string, AnsweredRequestRow>();
  private readonly entries: RecordRow[] = [];
  private readonly answers: AnsweredRequestRow[] = [];
  private readonly pending = new Pending();
  private readonly outcome: Outcome = { done: [], refused: [] };

  constructor(
    private readonly connections: Connections,
    private readonly clock: Clock,
    private readonly memory: Memory,
    private readonly savepoints: boolean,
  ) {}

  async commit(acts: readonly Waiting[]): Promise<Outcome> {
    const runner = this.connections.writer.createQueryRunner();
    const { kind } = this.connections.address;
    try {
      await begin(runner, kind);
      try {
        await this.runAll(runner, acts);
        if (kind === 'postgres') await tellOtherProcesses(runner, changesOf(this.outcome));
        await this.writeAll(runner, kind);
        for (const { laboratoryId, seq } of this.heads.values()) this.memory.reached(laboratoryId, seq);
      } catch (error) {
        await runner.query('ROLLBACK').catch(() => undefined);
        this.memory.forget();
        throw error;
      }
    } finally {
      // SQLite's runner is shared and lives as long as the connection.
      if (kind === 'postgres') await runner.release();
    }
    return this.outcome;
  }

  private async runAll(runner: QueryRunner, acts: readonly Waiting[]): Promise<void> {
    const { manager } = runner;
    for (const laboratoryId of new Set(acts.map(({ actor }) => actor.laboratoryId))) {
      const head = await this.lockHead(manager, laboratoryId);
      this.heads.set(laboratoryId, head);
      this.memory.continueFrom(laboratoryId, head.seq);
    }
    if (this.savepoints) {
      await this.findAnswered(
        manager,
        acts.flatMap(({ once }) => (once ? [once.key] : [])),
      );
    }
    for (const waiting of acts) {
      const head = this.heads.get(waiting.actor.laboratoryId) as HeadRow;
      if (this.savepoints) await this.guarded(runner, waiting, head);
      else await this.unguarded(runner, waiting, head);
    }
  }

  private async writeAll(runner: QueryRunner, kind: DatabaseAddress['kind']): Promise<void> {
    const { connection } = runner;
    for (const entry of this.entries) this.pending.add(connection.getMetadata(RecordRow), { ...entry });
    for (const answer of this.answers) this.pending.add(connection.getMetadata(AnsweredRequestRow), { ...answer });
    try {
      await commit(runner, kind, this.pending, this.heads.values());
    } catch (error) {
      // A repeated request, a broken rule of the database: with savepoints it is found out whose.
      throw this.savepoints || error instanceof UnknownOutcome ? error : new SpoiledBatch(error);
    }
  }

  /**
   * A request is taken for new. Of a repeat, either its work is refused, and then its answer is looked for, or its answer
   * is written a second time, which the database refuses for the whole batch.
   */
  private async unguarded(runner: QueryRunner, waiting: Waiting, head: HeadRow): Promise<void> {
    const unit = this.unitFor(runner, waiting, head);
    try {
      await this.run(unit, waiting, head);
    } catch (error) {
      // An error of the database may have broken the transaction; whoever refused before writing leaves nothing behind.
      if (unit.wrote || !(error instanceof Refusal)) throw new SpoiledBatch(error);
      if (await this.foundAnswer(runner, waiting)) await this.unguarded(runner, waiting, head);
      else this.outcome.refused.push({ waiting, error });
    }
  }

  /** Looks, once, whether a request was answered before. */
  private async foundAnswer(runner: QueryRunner, { actor, once }: Waiting): Promise<boolean> {
    if (!once) return false;
    const name = answeredKey(actor.laboratoryId, once.key);
    if (this.answered.has(name)) return false;
    await this.findAnswered(runner.manager, [once.key]);
    return this.answered.has(name);
  }

  private async guarded(runner: QueryRunner, waiting: Waiting, head: HeadRow): Promise<void> {
    await runner.query('SAVEPOINT unit');
    try {
      await this.run(this.unitFor(runner, waiting, head), waiting, head);
    } catch (error) {
      this.pending.drop();
      await runner.query('ROLLBACK TO SAVEPOINT unit');
      this.memory.forget();
      this.outcome.refused.push({ waiting, error });
    }
    await runner.query('RELEASE SAVEPOINT unit');
  }

  private unitFor(runner: QueryRunner, { actor, act }: Waiting, { seq }: HeadRow): Unit {
    return new Unit(runner, this.memory, this.pending, actor, act, seq + 1, this.clock.now());
  }

  private async run(unit: Unit, waiting: Waiting, head: HeadRow): Promise<void> {
    const { work, once } = waiting;
    const request = once && requestHash(waiting, once);
    const before = once && this.answered.get(answeredKey(unit.laboratoryId, once.key));
    if (before) {
      if (before.request !== request) throw keyReused(before.key);
      this.outcome.done.push({ waiting, answer: JSON.parse(before.answer), changed: null });
      return;
    }
    const answer = await work(unit);
    const entry = unit.entry();
    await announce(unit, entry);
    // Each unit's own rows inside of its own savepoint.
    if (this.savepoints) await unit.ready();
    if (once)
      this.keepAnswer({
        laboratoryId: unit.laboratoryId,
        key: once.key,
        at: unit.at,
        request: request as string,
        answer: JSON.stringify(answer ?? null),
      });
    if (!entry) {
      this.outcome.done.push({ waiting, answer, changed: heardOfHousekeeping(unit, head.seq) });
      return;
    }
    const link = linkOf(head.hash, entry);
    this.entries.push(recordRow(entry, link));
    head.seq = link.seq;
    head.hash = link.hash;
    const { laboratory: laboratoryId, seq, act, subject } = entry;
    this.outcome.done.push({ waiting, answer, changed: { laboratoryId, seq, act, subject, jobs: unit.queuedJobs } });
  }

  private keepAnswer(row: AnsweredRequestRow): void {
    this.answers.push(row);
    this.answered.set(answeredKey(row.laboratoryId, row.key), row);
  }

  /** What was answered before under these keys. */
  private async findAnswered(manager: EntityManager, keys: readonly string[]): Promise<void> {
    if (keys.length === 0) return;
    const places = keys.map((_, n) => `$${n + 1}`).join(', ');
    const rows = (await manager.query(
      `SELECT laboratory_id AS "laboratoryId", key, at, request, answer FROM answered_request WHERE key IN (${places})`,
      [...keys],
    )) as AnsweredRequestRow[];
    for (const row of rows) this.answered.set(answeredKey(row.laboratoryId, row.key), row);
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

/** The changes of a batch, in the order of the record. */
export function changesOf({ done }: Outcome): Changed[] {
  return done.flatMap(({ changed }) => (changed ? [changed] : []));
}

function requestHash({ actor, act }: Waiting, { request }: Once): string {
  return sha256(canonicalText({ person: actor.personId, device: actor.deviceId, act, request }));
}

function answeredKey(laboratoryId: string, key: string): string {
  return `${laboratoryId}\n${key}`;
}

function keyReused(key: string): Refusal {
  return new Refusal(
    'conflict',
    'key-reused',
    `The idempotency key "${key}" was used before for another request; choose a new key for a new request.`,
  );
}

function recordRow(entry: Entry, { body, hash }: ChainLink): RecordRow {
  return {
    laboratoryId: entry.laboratory,
    seq: entry.seq,
    at: entry.at,
    act: entry.act,
    subjectKind: entry.subject.kind,
    subjectId: entry.subject.id,
    personId: entry.actor.person,
    body,
    hash,
  };
}

function heardOfHousekeeping({ laboratoryId, told, queuedJobs }: Unit, seq: number): Changed | null {
  if (told === null && !queuedJobs) return null;
  const subject = told === null ? { kind: 'laboratory', id: laboratoryId } : { kind: 'notice', id: told };
  return { laboratoryId, seq, act: 'housekeeping', subject, jobs: queuedJobs };
}
