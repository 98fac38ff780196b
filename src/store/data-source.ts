import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import sqlite3 from 'sqlite3';
import { DataSource, type DataSourceOptions } from 'typeorm';
import { First1764000000000 } from './migrations/1764000000000-first.js';
import { Checkpoint1764100000000 } from './migrations/1764100000000-checkpoint.js';
import { Stock1764200000000 } from './migrations/1764200000000-stock.js';
import { Places1764210000000 } from './migrations/1764210000000-places.js';
import { ControlPlans1764260000000 } from './migrations/1764260000000-control-plans.js';
import { Preparations1764220000000 } from './migrations/1764220000000-preparations.js';
import { ControlResults1764270000000 } from './migrations/1764270000000-control-results.js';
import { People1764290000000 } from './migrations/1764290000000-people.js';
import { Recall1764250000000 } from './migrations/1764250000000-recall.js';
import { Ledger1764230000000 } from './migrations/1764230000000-ledger.js';
import { Orders1764240000000 } from './migrations/1764240000000-orders.js';
import { Studies1764280000000 } from './migrations/1764280000000-studies.js';
import { Releases1764300000000 } from './migrations/1764300000000-releases.js';
import { Policies1764310000000 } from './migrations/1764310000000-policies.js';
import { SecondLooks1764320000000 } from './migrations/1764320000000-second-looks.js';
import { RunPictures1764380000000 } from './migrations/1764380000000-run-pictures.js';
import { Badges1764400000000 } from './migrations/1764400000000-badges.js';
import { PaperSheets1764520000000 } from './migrations/1764520000000-paper-sheets.js';
import { DayPasses1764540000000 } from './migrations/1764540000000-day-passes.js';
import { HandOver1764560000000 } from './migrations/1764560000000-hand-over.js';
import { HandOverEnds1764600000000 } from './migrations/1764600000000-hand-over-ends.js';
import { Finding1764550000000 } from './migrations/1764550000000-finding.js';
import { FindingByLetters1764610000000 } from './migrations/1764610000000-finding-by-letters.js';
import { Plans1764390000000 } from './migrations/1764390000000-plans.js';
import { Review1764350000000 } from './migrations/1764350000000-review.js';
import { Deviations1764330000000 } from './migrations/1764330000000-deviations.js';
import { Packs1764340000000 } from './migrations/1764340000000-packs.js';
import { Keeping1764370000000 } from './migrations/1764370000000-keeping.js';
import { Webhooks1764360000000 } from './migrations/1764360000000-webhooks.js';
import { SnakeNames } from './naming.js';
import { ROWS } from './rows.js';

/** Where the rows are kept: one SQLite file, or a PostgreSQL address with an optional password kept apart. */
export type DatabaseAddress = { kind: 'sqlite'; file: string } | { kind: 'postgres'; url: string; password?: string };

/** The connections of one process: a single writer, and readers beside it. */
export interface Connections {
  address: DatabaseAddress;
  writer: DataSource;
  reader: DataSource;
}

/** TypeORM asks the driver to trace the caller of every statement, which costs more than many a statement. */
const QUIET_SQLITE = { ...sqlite3, verbose: () => sqlite3 };

function options(address: DatabaseAddress): DataSourceOptions {
  const common = {
    entities: ROWS,
    migrations: [
      First1764000000000,
      Checkpoint1764100000000,
      Stock1764200000000,
      Places1764210000000,
      Preparations1764220000000,
      Ledger1764230000000,
      Orders1764240000000,
      Recall1764250000000,
      ControlPlans1764260000000,
      ControlResults1764270000000,
      Studies1764280000000,
      People1764290000000,
      Releases1764300000000,
      Policies1764310000000,
      SecondLooks1764320000000,
      RunPictures1764380000000,
      Plans1764390000000,
      Review1764350000000,
      Deviations1764330000000,
      Packs1764340000000,
      Webhooks1764360000000,
      Keeping1764370000000,
      Badges1764400000000,
      PaperSheets1764520000000,
      DayPasses1764540000000,
      Finding1764550000000,
      HandOver1764560000000,
      HandOverEnds1764600000000,
      FindingByLetters1764610000000,
    ],
    namingStrategy: new SnakeNames(),
    synchronize: false,
  };
  if (address.kind === 'sqlite') {
    return {
      ...common,
      type: 'sqlite',
      database: address.file,
      enableWAL: true,
      busyTimeout: 10_000,
      driver: QUIET_SQLITE,
    };
  }
  return {
    ...common,
    type: 'postgres',
    url: address.url,
    ...(address.password === undefined ? {} : { password: address.password }),
    poolSize: 10,
    extra: { options: '-c TimeZone=UTC' },
  };
}

/** Opens the database, brings its schema up to date and answers the connections. */
export async function connect(address: DatabaseAddress): Promise<Connections> {
  if (address.kind === 'sqlite') mkdirSync(dirname(address.file), { recursive: true });
  const writer = await new DataSource(options(address)).initialize();
  // What is acknowledged must survive a power cut: SQLite then syncs its log at each commit.
  if (address.kind === 'sqlite') await writer.query('PRAGMA synchronous = FULL');
  await writer.runMigrations({ transaction: 'each' });
  // TypeORM gives SQLite one query runner, shared by all: reads get a connection of their own so that they neither
  // wait for the writer nor fall into its transaction.
  const reader = address.kind === 'sqlite' ? await new DataSource(options(address)).initialize() : writer;
  return { address, writer, reader };
}

export async function disconnect({ writer, reader }: Connections): Promise<void> {
  if (reader !== writer) await reader.destroy();
  await writer.destroy();
}
