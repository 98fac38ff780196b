import { createReadStream, createWriteStream } from 'node:fs';
import { open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { Readable, Writable } from 'node:stream';
import { configure, ZipWriter } from '@zip.js/zip.js';
import type { Instant } from '../core/time/instant.js';
import type { LaidFile } from './outlet.js';

configure({ useWebWorkers: false });

/** Method 8 of the format (APPNOTE 4.4.5): deflated. */
const DEFLATED = 8;

/** Puts deflated files together as one zip file with 64-bit sizes, which is there whole or not at all; answers its size. */
export async function zipOf(files: readonly LaidFile[], to: string, at: Instant): Promise<number> {
  const part = `${to}.part`;
  try {
    await write(files, part, new Date(at));
    const file = await open(part, 'r+');
    const { size } = await file.stat();
    await file.datasync().finally(() => file.close());
    await rename(part, to);
    const folder = await open(dirname(to), 'r');
    await folder.sync().finally(() => folder.close());
    return size;
  } catch (error) {
    await rm(part, { force: true });
    throw error;
  }
}

async function write(files: readonly LaidFile[], path: string, lastModDate: Date): Promise<void> {
  const out = createWriteStream(path, { mode: 0o600 });
  // What went wrong with the disk is the cause of whatever the writer says.
  const failed = new Promise<never>((_, reject) => out.once('error', reject));
  failed.catch(() => undefined);
  const zip = new ZipWriter(Writable.toWeb(out) as WritableStream<Uint8Array>, { zip64: true });
  for (const { name, path: laid, bytes, crc32 } of files) {
    const content = Readable.toWeb(createReadStream(laid)) as ReadableStream<Uint8Array>;
    const added = zip.add(name, content, {
      passThrough: true,
      compressionMethod: DEFLATED,
      uncompressedSize: bytes,
      signature: crc32,
      lastModDate,
    });
    await Promise.race([added, failed]);
  }
  await Promise.race([zip.close(), failed]);
}
