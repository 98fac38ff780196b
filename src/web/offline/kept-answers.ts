import { Problem } from '../api.js';
import { actsAlone } from './acting.js';
import { device } from './device.js';

/** What was kept longer ago is not shown any more: it is for the working day, not an archive. */
const LONGEST_MS = 24 * 3_600_000;

/** What the server answers or, while it is out of reach, what it answered last on this device within a day. */
export async function answered<Output>(name: string, ask: () => Promise<Output>): Promise<Output> {
  let value: Output;
  try {
    value = await ask();
  } catch (problem) {
    const known = isAway(problem) ? await keptAnswer(name) : undefined;
    if (known === undefined) throw problem;
    return known as Output;
  }
  await keepAnswer(name, value);
  return value;
}

/** Takes from the device what the server answered to the person who leaves; what is not sent yet stays. */
export async function forgetAnswers(): Promise<void> {
  await (await device)?.clear('kept').catch(() => undefined);
}

/**
 * Whether the server is out of reach, so that what the device knows has to do; also for who badged in where nobody was
 * signed in, whom it does not know until somebody is.
 */
export function isAway(problem: unknown): boolean {
  return problem instanceof Problem && problem.passing && (problem.status !== 401 || actsAlone());
}

/** An answer as the device keeps it, with its name and when it came. */
export interface KeptAnswer {
  name: string;
  atMs: number;
  value: unknown;
}

/** What is kept under these names and still fit to be shown. */
export async function answersOf(...names: string[]): Promise<KeptAnswer[]> {
  const database = await device;
  const found = await Promise.all(names.map(async (name) => ({ name, known: await database?.get('kept', name) })));
  return found.flatMap(({ name, known }) => (known && isFresh(known) ? [{ name, ...known }] : []));
}

/** Keeps again what was taken from here, with the time that it had; answers how many of it are still fit to be shown. */
export async function restoreAnswers(answers: readonly KeptAnswer[]): Promise<number> {
  const database = await device;
  const fresh = answers.filter(isFresh);
  for (const { name, ...known } of fresh) await database?.put('kept', known, name).catch(() => undefined);
  return fresh.length;
}

function isFresh({ atMs }: { atMs: number }): boolean {
  return Date.now() - atMs < LONGEST_MS;
}

/** Nothing that is too old to be shown stays on the device, though nobody asks for it again. */
async function dropOld(): Promise<void> {
  const database = await device;
  for (const name of (await database?.getAllKeys('kept')) ?? []) {
    const known = await database?.get('kept', name);
    if (known && !isFresh(known)) await database?.delete('kept', name);
  }
}
void dropOld().catch(() => undefined);

async function keptAnswer(name: string): Promise<unknown> {
  const known = await (await device)?.get('kept', name).catch(() => undefined);
  return known && isFresh(known) ? known.value : undefined;
}

/** Keeps what the server said; a full or forbidden store costs the page its memory of it, nothing else. */
export async function keepAnswer(name: string, value: unknown): Promise<void> {
  await (await device)?.put('kept', { atMs: Date.now(), value }, name).catch(() => undefined);
}
