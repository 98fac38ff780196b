import type { RecordEnd } from '../../store/snapshot.js';

export const FORMAT = 'stainwright-backup/1';

/** Where things lie in a backup. */
export const PLACES = {
  manifest: 'manifest.json',
  sqlite: 'database.sqlite',
  postgres: 'database.pgdump',
  files: 'files/',
  publicKeys: 'keys/public/',
  signingKey: 'keys/checkpoint.pem',
  checkpoints: 'checkpoints/',
} as const;

/** A file of a backup and what it has to be. */
export interface BackedUp {
  name: string;
  bytes: number;
  sha256: string;
}

/** What a backup holds. It is written last, so a backup that was cut short has none. */
export interface Manifest {
  format: typeof FORMAT;
  at: string;
  database: 'sqlite' | 'postgres';
  /** Whether it is the invented laboratory's. */
  demo: boolean;
  signingKey: boolean;
  /** How far each laboratory's record goes. */
  records: RecordEnd[];
  files: BackedUp[];
}

/** Reads a manifest; throws in words when it is none, or of another version. */
export function readManifest(text: string): Manifest {
  let read: Partial<Manifest>;
  try {
    read = JSON.parse(text) as Partial<Manifest>;
  } catch {
    throw new Error('The manifest in the backup is not JSON; take another backup.');
  }
  if (read.format !== FORMAT || !Array.isArray(read.files) || !Array.isArray(read.records)) {
    throw new Error(
      `The backup is of the format ${JSON.stringify(read.format)}; this program reads ${FORMAT}. Use the version that wrote it.`,
    );
  }
  return read as Manifest;
}
