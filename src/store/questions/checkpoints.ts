import { In, MoreThan } from 'typeorm';
import { type Checkpoint, readCheckpoint } from '../../core/record/checkpoint.js';
import { canonicalText, GENESIS } from '../../core/record/record.js';
import { CheckpointRow, RecordRow } from '../rows/record.entity.js';
import type { View } from '../view.js';

/** One place where the chain, or a checkpoint's row, is not what the checkpoint says. */
export interface CoverFault {
  seq: number;
  code: 'cut-off' | 'made-anew' | 'copied-wrong';
  message: string;
}

const PAGE = 500;

/** The laboratory's last checkpoint; null before the first. */
export async function lastCheckpoint(view: View): Promise<CheckpointRow | null> {
  const [last] = await view.all(CheckpointRow, {}, { order: { number: 'DESC' }, take: 1 });
  return last ?? null;
}

/** The laboratory's checkpoints after a number, in the order in which they were signed. */
export function checkpointsAfter(view: View, number: number): Promise<CheckpointRow[]> {
  return view.all(CheckpointRow, { number: MoreThan(number) }, { order: { number: 'ASC' } });
}

/**
 * Where the laboratory's chain is not what its checkpoints say that it was: the first place, and where it was cut off; and
 * rows of checkpoints whose columns do not say what was signed.
 */
export async function coverFaults(view: View, checkpoints: readonly Checkpoint[]): Promise<CoverFault[]> {
  const own = checkpoints.filter(({ laboratory }) => laboratory === view.laboratoryId).sort((a, b) => a.seq - b.seq);
  const [last] = await view.all(RecordRow, {}, { order: { seq: 'DESC' }, take: 1 });
  const end = last?.seq ?? 0;
  const hashes = await hashesAt(
    view,
    own.map(({ seq }) => seq),
  );
  const beyond = own.filter(({ seq }) => seq > end).at(-1);
  const other = own.findIndex(({ seq, hash }) => seq <= end && hashes.get(seq) !== hash);
  return [
    ...(other < 0 ? [] : [madeAnew(own[other - 1]?.seq ?? 0, own[other] as Checkpoint)]),
    ...(beyond ? [cutOff(end, beyond)] : []),
    ...(await checkpointsAfter(view, 0)).flatMap(copyFault),
  ];
}

async function hashesAt(view: View, seqs: readonly number[]): Promise<Map<number, string>> {
  const hashes = new Map([[0, GENESIS]]);
  for (let n = 0; n < seqs.length; n += PAGE) {
    const rows = await view.all(RecordRow, { seq: In(seqs.slice(n, n + PAGE)) }, { order: { seq: 'ASC' } });
    for (const { seq, hash } of rows) hashes.set(seq, hash);
  }
  return hashes;
}

function madeAnew(holdsTo: number, { seq, at, hash }: Checkpoint): CoverFault {
  return {
    seq,
    code: 'made-anew',
    message: `entry ${seq} has not the hash ${hash.slice(0, 12)}… that was signed at ${at}: entries from ${holdsTo + 1} to ${seq} were changed or made anew after that`,
  };
}

function cutOff(end: number, { seq, at }: Checkpoint): CoverFault {
  return {
    seq: end,
    code: 'cut-off',
    message: `the record ends with entry ${end}, but at ${at} it was signed up to entry ${seq}: at least ${seq - end} entries were cut off at its end`,
  };
}

/** A statement that cannot be read is told where its signature is checked. */
function copyFault({ laboratoryId, number, seq, hash, at, keyId, statement }: CheckpointRow): CoverFault[] {
  const said = readCheckpoint(statement);
  if (!said) return [];
  const copied = [laboratoryId, seq, hash, at, keyId];
  if (canonicalText(copied) === canonicalText([said.laboratory, said.seq, said.hash, said.at, said.key])) return [];
  return [{ seq, code: 'copied-wrong', message: `the columns of checkpoint ${number} do not say what was signed` }];
}
