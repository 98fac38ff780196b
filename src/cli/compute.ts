import { fstatSync } from 'node:fs';
import { pipeline } from 'node:stream/promises';
import { CommanderError } from 'commander';
import { type Computation, COMPUTATIONS } from './computations.js';

/** Answers each line of standard input with one line on standard output, in the same order, as fast as they are taken. */
export async function compute(name: string): Promise<void> {
  const computation = Object.hasOwn(COMPUTATIONS, name) ? COMPUTATIONS[name] : undefined;
  if (!computation) {
    const message = `There is no computation "${name}"; there are ${Object.keys(COMPUTATIONS).join(', ')}.`;
    process.stderr.write(`${message}\n`);
    throw new CommanderError(2, 'no-such-computation', message);
  }
  const answers = async function* (chunks: AsyncIterable<Uint8Array>): AsyncGenerator<string> {
    for await (const lines of linesOf(chunks)) {
      let text = '';
      for (const line of lines) text += `${JSON.stringify(await answerTo(line, computation))}\n`;
      yield text;
    }
  };
  // Node takes a folder for an input that is over.
  if (fstatSync(0).isDirectory())
    throw new Error('Standard input is a folder; give a file or a pipe with one case a line.');
  try {
    await pipeline(process.stdin, answers, process.stdout);
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    // Whoever read the answers has enough of them.
    if (code === 'EPIPE') return;
    throw new Error(`Standard input cannot be read: ${message}`, { cause: error });
  }
}

/**
 * The whole lines of each chunk. Only a line feed ends a line: JSON text may hold the other characters that a terminal
 * breaks lines at.
 */
async function* linesOf(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<string[]> {
  const decoder = new TextDecoder();
  let rest = '';
  for await (const chunk of chunks) {
    const [first = '', ...others] = decoder.decode(chunk, { stream: true }).split('\n');
    rest += first;
    const last = others.pop();
    if (last === undefined) continue;
    yield [rest, ...others];
    rest = last;
  }
  rest += decoder.decode();
  if (rest !== '') yield [rest];
}

async function answerTo(line: string, computation: Computation): Promise<object> {
  let input: unknown;
  try {
    input = JSON.parse(line);
  } catch (error) {
    return { id: null, error: { code: 'not-json', message: `This line is not JSON: ${(error as Error).message}` } };
  }
  try {
    return await computation(input);
  } catch (error) {
    const { code, message } = error as { code?: unknown; message: string };
    const { id = null } = (input ?? {}) as { id?: unknown };
    return { id, error: { code: typeof code === 'string' ? code : 'cannot-be-computed', message } };
  }
}
