import { randomBytes } from 'node:crypto';
import type { EntityManager, EntityMetadata, EntityTarget, FindOptionsWhere, QueryRunner } from 'typeorm';
import { v7 as newId } from 'uuid';
import type { Entry, RowMark } from '../core/record/record.js';
import { rowHash } from '../core/record/record.js';
import type { Instant } from '../core/time/instant.js';
import { Refusal } from '../core/refusal.js';
import type { Memory, Table } from './memory.js';
import type { Pending } from './pending.js';
import { JobRow, NoticeRow } from './rows/jobs.entity.js';
import { SealedRow } from './rows/record.entity.js';
import type { FactRow } from './rows/fact.js';
import { type LaboratoryScoped, View } from './view.js';

/**
 * The columns of a row that hold a value, by property name: what its hash is made of. Empty ones are left out, so that a
 * column which a later migration adds changes no hash.
 */
export function rowContent(metadata: EntityMetadata, row: object): Record<string, unknown> {
  return Object.fromEntries(
    metadata.columns.flatMap((column): [string, unknown][] => {
      const value = column.getEntityValue(row) as unknown;
      return value === null || value === undefined ? [] : [[column.propertyName, value]];
    }),
  );
}

type Nullable<T> = { [K in keyof T]: null extends T[K] ? K : never }[keyof T];

/** What a fact row is made of; columns that may be empty may be left out. */
export type FactValues<T extends FactRow> = Omit<T, keyof FactRow | Nullable<T>> &
  Partial<Pick<T, Nullable<T>>> & { id?: string };

/** Who acts: a person, a device, or the program itself when both are null. */
export interface Actor {
  laboratoryId: string;
  personId: string | null;
  deviceId: string | null;
}

/** One unit of work: what it saves, the entry it appends and the jobs it queues are committed together or not at all. */
export class Unit extends View {
  private readonly marks: RowMark[] = [];
  private named: Pick<Entry, 'subject' | 'data'> | null = null;
  /** True once the act wrote anything. */
  wrote = false;
  /** True once the act queued a job. */
  queuedJobs = false;
  /** Id of the notice that the unit added last. */
  told: string | null = null;

  constructor(
    private readonly runner: QueryRunner,
    memory: Memory,
    private readonly pending: Pending,
    readonly actor: Actor,
    /** Null for housekeeping. */
    readonly act: string | null,
    /** The number that this act's entry will have. */
    readonly seq: number,
    readonly at: Instant,
  ) {
    super(runner.manager, memory, actor.laboratoryId);
  }

  /** What was inserted is written before anything is read. */
  override async ready(): Promise<EntityManager> {
    await this.pending.flush(this.runner);
    return this.manager;
  }

  override recallLive<T>(name: string, of: readonly Table[], load: () => Promise<T>): Promise<T> {
    return this.memory.recallLive(`${this.laboratoryId} ${name}`, of, load);
  }

  private write(table: EntityMetadata): void {
    this.wrote = true;
    this.memory.wrote(table.target as Table);
  }

  /** Whom the act is by; refuses when only the program acts. */
  get personId(): string {
    if (this.actor.personId === null)
      throw new Refusal('forbidden', 'person-needed', 'This needs a signed-in person, not a device alone.');
    return this.actor.personId;
  }

  /** Says what the act was about; `data` enters the chain in the clear, so it holds no patient's identifier. */
  about(kind: string, id: string, data: Record<string, unknown> = {}): void {
    this.named = { subject: { kind, id }, data };
  }

  /** Inserts a row that never changes and pins its hash in the entry. */
  insert<T extends FactRow>(row: EntityTarget<T> & (new () => T), values: FactValues<T>): Promise<T> {
    if (this.act === null) return Promise.reject(new Error('housekeeping writes no facts'));
    const table = this.connection.getMetadata(row);
    const filled = { ...values, id: values.id ?? newId(), laboratoryId: this.laboratoryId, seq: this.seq };
    const content = rowContent(table, filled);
    this.pending.add(table, content);
    this.marks.push({ table: table.tableName, id: filled.id, sha256: rowHash(content) });
    this.write(table);
    const empty = table.columns.map(({ propertyName }) => [propertyName, null]);
    return Promise.resolve(Object.assign(new row(), Object.fromEntries(empty), content));
  }

  /** Keeps a value that must not stand in the chain and answers its id; the chain holds only the salted hash. */
  async seal(ownerId: string, kind: string, value: string): Promise<string> {
    const row = await this.insert(SealedRow, { ownerId, kind, salt: randomBytes(16).toString('hex'), value });
    return row.id;
  }

  /** Inserts a row that may change later, such as a session. The act's own data must tell what changed. */
  add<T extends LaboratoryScoped>(row: EntityTarget<T>, values: Omit<T, 'laboratoryId'>): Promise<void> {
    const table = this.connection.getMetadata(row);
    this.pending.add(table, rowContent(table, { ...values, laboratoryId: this.laboratoryId }));
    this.write(table);
    return Promise.resolve();
  }

  /** Changes rows that may change; answers how many. */
  async change<T extends LaboratoryScoped>(
    row: EntityTarget<T>,
    where: FindOptionsWhere<T>,
    values: Partial<T>,
  ): Promise<number> {
    const done = await (await this.ready()).update(row, { ...where, laboratoryId: this.laboratoryId }, values as never);
    this.write(this.connection.getMetadata(row));
    return done.affected ?? 0;
  }

  async remove<T extends LaboratoryScoped>(row: EntityTarget<T>, where: FindOptionsWhere<T>): Promise<number> {
    const done = await (await this.ready()).delete(row, { ...where, laboratoryId: this.laboratoryId });
    this.write(this.connection.getMetadata(row));
    return done.affected ?? 0;
  }

  /** Queues a job with this commit; `target` is the id of what the handler loads anew. */
  async enqueue(name: string, target: string, dueAt: Instant = this.at, id: string = newId()): Promise<void> {
    this.queuedJobs = true;
    await this.add(JobRow, { id, name, target, dueAt, state: 'waiting', attempts: 0, error: null });
  }

  /**
   * Adds a notice unless its matter was told before; the locked head keeps two units from telling it at once. Answers the
   * new notice's id, null when it was told before. `path` is the page where it is dealt with, when that is no run.
   */
  async tell(
    matter: string,
    text: string,
    runId: string | null = null,
    { path = null, personId = null }: { path?: string | null; personId?: string | null } = {},
  ): Promise<string | null> {
    if (await this.one(NoticeRow, { matter })) return null;
    const id = newId();
    this.told = id;
    const unseen = { seenBy: null, seenAt: null, overAt: null };
    await this.add(NoticeRow, { id, matter, at: this.at, text, runId, path, personId, ...unseen });
    return id;
  }

  /** The entry to append, or null when nothing was written. */
  entry(): Entry | null {
    if (this.act === null) return null;
    if (!this.named) {
      if (this.wrote) throw new Error(`the act ${this.act} wrote rows without saying what it was about`);
      return null;
    }
    const { laboratoryId, personId, deviceId } = this.actor;
    return {
      v: 1,
      laboratory: laboratoryId,
      seq: this.seq,
      at: this.at,
      actor: { person: personId, device: deviceId },
      act: this.act,
      ...this.named,
      rows: this.marks,
    };
  }
}
