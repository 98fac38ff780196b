import { spawn } from 'node:child_process';
import type { DatabaseAddress } from '../../store/data-source.js';

type Address = Extract<DatabaseAddress, { kind: 'postgres' }>;

/** Writes a PostgreSQL database as it stood at a named moment into a file of pg_dump's own form. */
export function dump(address: Address, snapshot: string, to: string): Promise<void> {
  const how = ['--format=custom', '--no-owner', '--no-privileges', `--snapshot=${snapshot}`, `--file=${to}`];
  return tool('pg_dump', how, address);
}

/** Brings what pg_dump wrote into an empty database, whole or not at all. */
export function load(address: Address, from: string): Promise<void> {
  const how = ['--single-transaction', '--exit-on-error', '--no-owner', '--no-privileges'];
  return tool('pg_restore', how, address, [from]);
}

/** The password goes by the environment: other users of the machine can read the arguments. */
function tool(name: string, how: readonly string[], { url, password }: Address, what: string[] = []): Promise<void> {
  const address = new URL(url);
  const secret = password ?? decodeURIComponent(address.password);
  address.password = '';
  const env = { ...process.env, ...(secret === '' ? {} : { PGPASSWORD: secret }) };
  return new Promise((resolve, reject) => {
    const child = spawn(name, [...how, `--dbname=${address.href}`, ...what], {
      env,
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    let said = '';
    child.stderr.setEncoding('utf8').on('data', (text: string) => (said = `${said}${text}`.slice(-2000)));
    child.once('error', (error: NodeJS.ErrnoException) => {
      const missing = `${name} is not installed here; install PostgreSQL's client programs, of the server's version or newer.`;
      reject(error.code === 'ENOENT' ? new Error(missing) : error);
    });
    child.once('close', (code) => {
      if (code === 0) resolve();
      else reject(new Error(`${name} ended with ${code ?? 'a signal'}: ${said.trim()}`));
    });
  });
}
