import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createApp } from '../app.js';
import { readConfig } from '../config.js';
import { openApiDocument } from '../modules/http/openapi.js';

/** Prints the document of every route, as the program itself would serve it. */
export async function openapi(): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-openapi-'));
  try {
    const app = await createApp(readConfig({ DATA_DIR: folder, LOG_LEVEL: 'silent' }));
    process.stdout.write(`${JSON.stringify(openApiDocument(app), null, 2)}\n`);
    await app.close();
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
