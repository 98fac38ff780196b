import { describe } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import type { DatabaseAddress } from '../../src/store/data-source.js';
import { describeWith } from './needs.js';

/** A fresh, empty database of its own, and how to do away with it. */
export interface FreshDatabase {
  address: DatabaseAddress;
  drop: () => Promise<void>;
}

export async function freshSqlite(): Promise<FreshDatabase> {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-'));
  return {
    address: { kind: 'sqlite', file: join(folder, 'test.sqlite') },
    drop: () => rm(folder, { recursive: true, force: true }),
  };
}

export async function freshPostgres(): Promise<FreshDatabase> {
  const base = new URL(process.env['TEST_POSTGRES_URL'] as string);
  const name = `t_${randomUUID().replaceAll('-', '')}`;
  const admin = async (statement: string): Promise<void> => {
    const client = new pg.Client({ connectionString: base.href });
    await client.connect();
    await client.query(statement);
    await client.end();
  };
  await admin(`CREATE DATABASE ${name}`);
  const url = new URL(base.href);
  url.pathname = `/${name}`;
  return { address: { kind: 'postgres', url: url.href }, drop: () => admin(`DROP DATABASE ${name} WITH (FORCE)`) };
}

/** The same suite on every database that the program runs on. */
export function describeOnEachDatabase(name: string, suite: (fresh: () => Promise<FreshDatabase>) => void): void {
  describe(`${name} on SQLite`, () => suite(freshSqlite));
  describeWith('postgres', `${name} on PostgreSQL`, () => suite(freshPostgres));
}
