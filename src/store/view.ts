import type {
  DataSource,
  EntityManager,
  EntityTarget,
  FindOptionsOrder,
  FindOptionsWhere,
  ObjectLiteral,
} from 'typeorm';
import { Refusal } from '../core/refusal.js';
import type { Memory, Table } from './memory.js';

export interface LaboratoryScoped extends ObjectLiteral {
  laboratoryId: string;
}

/** Reading rows of one laboratory. */
export class View {
  constructor(
    protected readonly manager: EntityManager,
    protected readonly memory: Memory,
    readonly laboratoryId: string,
  ) {}

  /** For questions in this folder that need SQL of their own; nothing outside the store uses it. */
  ready(): Promise<EntityManager> {
    return Promise.resolve(this.manager);
  }

  /** What TypeORM knows of the tables. */
  get connection(): DataSource {
    return this.manager.connection;
  }

  /** All rows that match, oldest id first unless an order is given. */
  async all<T extends LaboratoryScoped>(
    row: EntityTarget<T>,
    where: FindOptionsWhere<T> = {},
    { order, take, skip }: { order?: FindOptionsOrder<T>; take?: number; skip?: number } = {},
  ): Promise<T[]> {
    return (await this.ready()).find(row, {
      where: this.scoped(where),
      order: order ?? ({ id: 'ASC' } as unknown as FindOptionsOrder<T>),
      ...(take === undefined ? {} : { take }),
      ...(skip === undefined ? {} : { skip }),
    });
  }

  async one<T extends LaboratoryScoped>(row: EntityTarget<T>, where: FindOptionsWhere<T>): Promise<T | null> {
    return (await this.ready()).findOne(row, { where: this.scoped(where) });
  }

  /** The row that matches; refuses when there is none, naming the thing as `called`. */
  async need<T extends LaboratoryScoped>(row: EntityTarget<T>, where: FindOptionsWhere<T>, called: string): Promise<T> {
    const found = await this.one(row, where);
    if (!found) throw new Refusal('not-found', 'not-found', `There is no ${called}.`);
    return found;
  }

  async count<T extends LaboratoryScoped>(row: EntityTarget<T>, where: FindOptionsWhere<T> = {}): Promise<number> {
    return (await this.ready()).count(row, { where: this.scoped(where) });
  }

  /** An answer that never changes once it is there; `name` tells it from all others. */
  recall<T>(name: string, load: () => Promise<T>): Promise<T> {
    return this.memory.recall(`${this.laboratoryId} ${name}`, load);
  }

  /**
   * An answer that acts change: it is old once a row is written to a table that it is of. Kept only inside of units, where
   * nobody else can act.
   */
  recallLive<T>(_name: string, _of: readonly Table[], load: () => Promise<T>): Promise<T> {
    return load();
  }

  private scoped<T extends LaboratoryScoped>(where: FindOptionsWhere<T>): FindOptionsWhere<T> {
    return { ...where, laboratoryId: this.laboratoryId };
  }
}
