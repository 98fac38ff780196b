import { createPublicKey, type KeyObject } from 'node:crypto';
import { appendFileSync, existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { CheckpointPlaces } from '../../config.js';
import { keyId, readCheckpoint, type SignedCheckpoint, signCheckpoint } from '../../core/record/checkpoint.js';
import { canonicalText, GENESIS } from '../../core/record/record.js';
import type { Instant } from '../../core/time/instant.js';
import { checkpointsAfter, lastCheckpoint } from '../questions/checkpoints.js';
import { laboratoriesHere } from '../questions/laboratories.js';
import { CheckpointRow, HeadRow } from '../rows/record.entity.js';
import type { Store } from '../store.js';
import type { Unit } from '../unit.js';
import type { View } from '../view.js';
import { nextKey, signingKey, takeNextKey } from './keys.js';

/** How a record has grown since it was signed last. */
export interface Growth {
  /** Entries that no checkpoint covers; at least 1. */
  entries: number;
  /** When the last checkpoint was signed; null before the first. */
  since: Instant | null;
  now: Instant;
}

/**
 * Signs how far the laboratory's record goes, if it grew and `wanted` says so; answers the new checkpoint or null. The
 * laboratory's file then holds every checkpoint of the table.
 */
export async function writeCheckpoint(
  store: Store,
  places: CheckpointPlaces,
  laboratoryId: string,
  wanted: (growth: Growth) => boolean = () => true,
): Promise<CheckpointRow | null> {
  const written = await store.housekeep(laboratoryId, async (unit) => {
    const head = await headOf(unit);
    const last = await lastCheckpoint(unit);
    const growth = { entries: head.seq - (last?.seq ?? 0), since: last?.at ?? null, now: unit.at };
    return growth.entries > 0 && wanted(growth) ? addCheckpoint(unit, head, last, signingKey(places)) : null;
  });
  await bringFileUpToDate(store, places, laboratoryId);
  return written;
}

/**
 * Makes the next key, signs with the old one, for each laboratory, a last checkpoint that hands over to it, and takes it
 * into use; answers the ids of both. Done again after an interruption, it goes on where it stopped.
 */
export async function rotateKey(store: Store, places: CheckpointPlaces): Promise<{ from: string; to: string }> {
  const laboratories = await store.read('', laboratoriesHere);
  if (laboratories.length === 0) throw new Error('There is no laboratory yet, so no key has anything to hand over.');
  const old = signingKey(places);
  const next = createPublicKey(nextKey(places));
  const from = keyId(createPublicKey(old));
  for (const { id } of laboratories) {
    await store.housekeep(id, async (unit) => {
      const last = await lastCheckpoint(unit);
      if (!handedOver(last, from)) await addCheckpoint(unit, await headOf(unit), last, old, next);
    });
    await bringFileUpToDate(store, places, id);
  }
  takeNextKey(places);
  return { from, to: keyId(next) };
}

/** The line of a file of checkpoints. */
export function lineOf({ statement, signature }: SignedCheckpoint): string {
  return `${canonicalText({ statement, signature })}\n`;
}

/** The checkpoints in a file of them; a line that is none is kept, to be told. */
export function signedIn(file: string): SignedCheckpoint[] {
  const lines = readFileSync(file, 'utf8').split('\n');
  return lines.flatMap((line) => (line.trim() === '' ? [] : [readLine(line)]));
}

/** All that is kept here of the laboratory's checkpoints: those of its file, which lies outside of the database, first. */
export async function signedHere(view: View, places: CheckpointPlaces): Promise<SignedCheckpoint[]> {
  const file = fileOf(places, view.laboratoryId);
  return [...(existsSync(file) ? signedIn(file) : []), ...(await checkpointsAfter(view, 0))];
}

async function headOf(view: View): Promise<Pick<HeadRow, 'seq' | 'hash'>> {
  return (await view.one(HeadRow, {})) ?? { seq: 0, hash: GENESIS };
}

async function addCheckpoint(
  unit: Unit,
  { seq, hash }: Pick<HeadRow, 'seq' | 'hash'>,
  last: CheckpointRow | null,
  key: KeyObject,
  next?: KeyObject,
): Promise<CheckpointRow> {
  const { laboratoryId, at } = unit;
  const id = keyId(createPublicKey(key));
  if (handedOver(last, id)) {
    throw new Error(
      `The checkpoint key ${id} has handed over to another and is still in use here: finish the rotation with "stainwright checkpoint rotate".`,
    );
  }
  const signed = signCheckpoint({ laboratory: laboratoryId, seq, hash, at }, key, next);
  const row = { laboratoryId, number: (last?.number ?? 0) + 1, seq, hash, at, keyId: id, ...signed };
  await unit.add(CheckpointRow, row);
  return row;
}

function handedOver(last: CheckpointRow | null, id: string): boolean {
  return last !== null && last.keyId === id && readCheckpoint(last.statement)?.next !== undefined;
}

/** Appends what came after the last line; a file that was moved away begins anew with every checkpoint. */
async function bringFileUpToDate(store: Store, places: CheckpointPlaces, laboratoryId: string): Promise<void> {
  const file = fileOf(places, laboratoryId);
  const rows = await store.read(laboratoryId, (view) => checkpointsAfter(view, 0));
  const lastLine = existsSync(file) ? signedIn(file).at(-1) : undefined;
  const written = rows.findLastIndex(({ signature }) => signature === lastLine?.signature);
  if (written === rows.length - 1) return;
  mkdirSync(places.folder, { recursive: true });
  appendFileSync(
    file,
    rows
      .slice(written + 1)
      .map(lineOf)
      .join(''),
  );
}

function fileOf({ folder }: CheckpointPlaces, laboratoryId: string): string {
  return join(folder, `${encodeURIComponent(laboratoryId)}.jsonl`);
}

function readLine(line: string): SignedCheckpoint {
  try {
    const { statement, signature } = JSON.parse(line) as Partial<SignedCheckpoint>;
    if (typeof statement === 'string' && typeof signature === 'string') return { statement, signature };
  } catch {
    // Told by whoever judges the statement, which this line is not.
  }
  return { statement: line, signature: '' };
}
