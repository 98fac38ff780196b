import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('../../', import.meta.url));

export interface Outcome {
  code: number | null;
  out: string;
  err: string;
}

/** Runs the built command line from the project's root, as `npm run stainwright` does. */
export function stainwright(
  args: readonly string[],
  { input = '', env = {} }: { input?: string; env?: Record<string, string> } = {},
): Promise<Outcome> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ['dist/cli.js', ...args], {
      cwd: ROOT,
      env: { PATH: process.env['PATH'], ...env },
    });
    const outcome: Outcome = { code: null, out: '', err: '' };
    child.stdout.setEncoding('utf8').on('data', (text: string) => (outcome.out += text));
    child.stderr.setEncoding('utf8').on('data', (text: string) => (outcome.err += text));
    child.on('error', reject);
    child.on('close', (code) => resolve({ ...outcome, code }));
    // A program that stops before it read everything closes the pipe.
    child.stdin.on('error', () => undefined);
    child.stdin.end(input);
  });
}
