import { Problem } from '../api.js';
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

/** Whether the server is out of reach, so that what the device knows has to do. */
export function isAway(problem: unknown): boolean {
  return problem instanceof Problem && problem.passing && problem.status !== 401;
}

/** Nothing that is too old to be shown stays on the device, though nobody asks for it again. */
async function dropOld(): Promise<void> {
  const database = await device;
  for (const name of (await database?.getAllKeys('kept')) ?? []) {
    const known = await database?.get('kept', name);
    if (known && Date.now() - known.atMs >= LONGEST_MS) await database?.delete('kept', name);
  }
}
void dropOld().catch(() => undefined);

async function keptAnswer(name: string): Promise<unknown> {
  const known = await (await device)?.get('kept', name).catch(() => undefined);
  return known && Date.now() - known.atMs < LONGEST_MS ? known.value : undefined;
}

/** Keeps what the server said; a full or forbidden store costs the page its memory of it, nothing else. */
export async function keepAnswer(name: string, value: unknown): Promise<void> {
  await (await device)?.put('kept', { atMs: Date.now(), value }, name).catch(() => undefined);
}
