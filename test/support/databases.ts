import { describe } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { copyFile, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { DatabaseAddress } from '../../src/store/data-source.js';
import { migratedPostgres, migratedSqlite } from './migrated.js';
import { describeWith } from './needs.js';
import { atDatabase, onServer } from './postgres-server.js';

/** A fresh database of its own, and how to do away with it. */
export interface FreshDatabase {
  address: DatabaseAddress;
  drop: () => Promise<void>;
}

/** Without rows, its schema as the migrations leave it. */
export async function freshSqlite(): Promise<FreshDatabase> {
  const database = await emptySqlite();
  await copyFile(await migratedSqlite(), (database.address as { file: string }).file);
  return database;
}

/** Without rows, its schema as the migrations leave it. */
export async function freshPostgres(): Promise<FreshDatabase> {
  return createPostgres(await migratedPostgres());
}

/** With nothing in it, as the program finds it at its first start. */
export async function emptySqlite(): Promise<FreshDatabase> {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-'));
  return {
    address: { kind: 'sqlite', file: join(folder, 'test.sqlite') },
    drop: () => rm(folder, { recursive: true, force: true }),
  };
}

/** With nothing in it, as the program finds it at its first start. */
export function emptyPostgres(): Promise<FreshDatabase> {
  return createPostgres('template1');
}

async function createPostgres(template: string): Promise<FreshDatabase> {
  const name = `t_${randomUUID().replaceAll('-', '')}`;
  await onServer((ask) => ask(`CREATE DATABASE ${name} TEMPLATE ${template}`));
  return {
    address: { kind: 'postgres', url: atDatabase(name) },
    drop: async () => void (await onServer((ask) => ask(`DROP DATABASE ${name} WITH (FORCE)`))),
  };
}

/** The same suite on every database that the program runs on. */
export function describeOnEachDatabase(name: string, suite: (fresh: () => Promise<FreshDatabase>) => void): void {
  describe(`${name} on SQLite`, () => suite(freshSqlite));
  describeWith('postgres', `${name} on PostgreSQL`, () => suite(freshPostgres));
}

/** The same, each database with nothing in it. */
export function describeOnEachEmptyDatabase(name: string, suite: (empty: () => Promise<FreshDatabase>) => void): void {
  describe(`${name} on SQLite`, () => suite(emptySqlite));
  describeWith('postgres', `${name} on PostgreSQL`, () => suite(emptyPostgres));
}
