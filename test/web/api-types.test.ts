import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { expect, it } from '@jest/globals';
import { ROOT, stainwright } from '../cli/stainwright.js';

const run = promisify(execFile);

it('has a typed client that was generated from the program’s own OpenAPI document (npm run api makes it anew)', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-api-'));
  try {
    const { out, code } = await stainwright(['openapi']);
    expect(code).toBe(0);
    const [document, types] = [join(folder, 'openapi.json'), join(folder, 'api.gen.ts')];
    await writeFile(document, out);
    await run('node_modules/.bin/openapi-typescript', [document, '-o', types], { cwd: ROOT });
    expect(await readFile(types, 'utf8')).toBe(await readFile(join(ROOT, 'src/web/api.gen.ts'), 'utf8'));
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});
