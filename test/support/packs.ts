import { execFile } from 'node:child_process';
import type { HandlerContext } from '../../src/jobs/runner.js';
import { makePack } from '../../src/jobs/make-pack.js';
import { LABORATORY, type TestApp } from './app.js';
import { placesIn } from './checkpoints.js';

/** Does the job of a pack here, with the keys and files of a data folder. */
export function makeHere(
  { store, clock }: Pick<TestApp, 'store' | 'clock'>,
  folder: string,
  packId: string,
  changes: Partial<HandlerContext> = {},
): Promise<unknown> {
  const context = { store, clock, checkpoints: placesIn(folder), filesDir: folder, mail: null };
  return makePack(packId, { ...context, laboratoryId: LABORATORY, ...changes });
}

/** What the verifier in the other language says, and its exit code. */
export function verifyPack(...args: string[]): Promise<{ code: number; out: string }> {
  return new Promise((resolve, reject) => {
    execFile('python3', ['-B', 'test/independent/verify_pack.py', ...args], (error, out, err) => {
      if (error && typeof error.code !== 'number') reject(error);
      else resolve({ code: Number(error?.code ?? 0), out: `${out}${err}` });
    });
  });
}
