import { createHash, randomUUID } from 'node:crypto';
import { type FileHandle, mkdir, open, readdir, rename, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { type FileType, FILE_TYPES, fileTypeOf, TELLING_BYTES } from '../../core/file/file-type.js';
import { Refusal } from '../../core/refusal.js';

/** A file's content as it lies in the folder. */
export interface Kept {
  mediaType: FileType;
  bytes: number;
  sha256: string;
}

/** A file that is larger than what is taken; told by its own status. */
export class FileTooLarge extends Error {
  constructor(readonly limit: number) {
    super(`The file has more than ${limit} bytes.`);
    this.name = 'FileTooLarge';
  }
}

const SHA256 = /^[0-9a-f]{64}$/;

/**
 * The folder of files, each under the hash of its content: aa/aa…. What lies there under its name is whole: it was written
 * elsewhere, brought to the disk and then named. A name without a row is harmless, a row without its file is a fault.
 */
export class FileFolder {
  constructor(private readonly root: string) {}

  /** Writes what comes to the disk and answers what it is; refuses what is of no kept type, empty or over the limit. */
  async keep(content: AsyncIterable<Uint8Array>, limit: number): Promise<Kept> {
    const incoming = join(this.root, 'incoming');
    await mkdir(incoming, { recursive: true });
    const part = join(incoming, randomUUID());
    const file = await open(part, 'wx');
    try {
      const kept = await write(content, file, limit).finally(() => file.close());
      const place = this.pathOf(kept.sha256);
      await mkdir(dirname(place), { recursive: true });
      // A file of that name is replaced by the same content, which mends one that was damaged and makes it young again.
      await rename(part, place);
      for (const folder of [dirname(place), this.root]) await syncFolder(folder);
      return kept;
    } catch (error) {
      await rm(part, { force: true });
      throw error;
    }
  }

  /** Opens a file to be read; refuses when its content is gone. */
  async open({ sha256, name }: { sha256: string; name: string }): Promise<FileHandle> {
    try {
      return await open(this.pathOf(sha256), 'r');
    } catch (error) {
      throw new Refusal(
        'unavailable',
        'file-gone',
        `The content of "${name}" is not in the folder of files (${(error as NodeJS.ErrnoException).code ?? 'unreadable'}); bring ${sha256.slice(0, 2)}/${sha256} back from the backup.`,
      );
    }
  }

  /** The whole content; refuses when it is gone or no longer what was kept. */
  async read(row: { sha256: string; name: string }): Promise<Buffer> {
    const file = await this.open(row);
    const content = await file.readFile().finally(() => file.close());
    if (hashOf(content) === row.sha256) return content;
    throw new Refusal(
      'unavailable',
      'file-changed',
      `The content of "${row.name}" was changed on the disk; bring ${row.sha256.slice(0, 2)}/${row.sha256} back from the backup.`,
    );
  }

  /** What is wrong with a kept file, in words; null when its content is there, whole and unchanged. */
  async faultOf({ sha256, bytes }: { sha256: string; bytes: number }): Promise<string | null> {
    const hash = createHash('sha256');
    let found = 0;
    try {
      const file = await open(this.pathOf(sha256), 'r');
      for await (const chunk of file.createReadStream() as AsyncIterable<Uint8Array>) {
        hash.update(chunk);
        found += chunk.length;
      }
    } catch (error) {
      return `its content cannot be read (${(error as NodeJS.ErrnoException).code ?? (error as Error).message})`;
    }
    if (found !== bytes) return `its content has ${found} bytes instead of ${bytes}`;
    return hash.digest('hex') === sha256 ? null : 'its content was changed';
  }

  /** Names of all files that lie there since before an instant, in milliseconds since 1970. */
  async *before(epochMs: number): AsyncGenerator<string> {
    for (const folder of await namesIn(this.root)) {
      for (const name of await namesIn(join(this.root, folder))) {
        if (SHA256.test(name) && (await changedAt(this.pathOf(name))) < epochMs) yield name;
      }
    }
  }

  async remove(sha256: string): Promise<void> {
    await rm(this.pathOf(sha256), { force: true });
  }

  /** Removes what a process that ended left half-written before an instant. */
  async removeUnfinished(epochMs: number): Promise<void> {
    const incoming = join(this.root, 'incoming');
    for (const name of await namesIn(incoming)) {
      const part = join(incoming, name);
      if ((await changedAt(part)) < epochMs) await rm(part, { force: true });
    }
  }

  private pathOf(sha256: string): string {
    // A damaged row must not lead out of the folder.
    if (!SHA256.test(sha256)) throw new Error(`"${sha256}" is no SHA-256`);
    return join(this.root, sha256.slice(0, 2), sha256);
  }
}

async function write(content: AsyncIterable<Uint8Array>, file: FileHandle, limit: number): Promise<Kept> {
  const hash = createHash('sha256');
  let first = Buffer.alloc(0);
  let mediaType: FileType | null = null;
  let bytes = 0;
  for await (const chunk of content) {
    bytes += chunk.length;
    if (bytes > limit) throw new FileTooLarge(limit);
    if (mediaType === null) {
      first = Buffer.concat([first, chunk.subarray(0, TELLING_BYTES)]);
      if (first.length >= TELLING_BYTES) mediaType = typeOf(first);
    }
    hash.update(chunk);
    await file.write(chunk);
  }
  mediaType ??= typeOf(first);
  await file.datasync();
  return { mediaType, bytes, sha256: hash.digest('hex') };
}

function typeOf(first: Uint8Array): FileType {
  const type = fileTypeOf(first);
  if (type !== null) return type;
  const found =
    first.length === 0 ? 'The file is empty' : 'By its first bytes the file is of no kind that is kept here';
  const right = FILE_TYPES.map((type) => type.replace(/^.*\//, '').toUpperCase()).join(', ');
  throw new Refusal('invalid', 'file-type', `${found}; send one of these: ${right}. Nothing was kept.`);
}

/** A new name survives a power cut only once its folder is on the disk. */
async function syncFolder(path: string): Promise<void> {
  const folder = await open(path, 'r');
  await folder.sync().finally(() => folder.close());
}

async function namesIn(folder: string): Promise<string[]> {
  return readdir(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT' || error.code === 'ENOTDIR') return [];
    throw error;
  });
}

async function changedAt(path: string): Promise<number> {
  // Another process may sweep at the same time.
  return stat(path).then(
    ({ mtimeMs }) => mtimeMs,
    () => Number.POSITIVE_INFINITY,
  );
}

function hashOf(content: Uint8Array): string {
  return createHash('sha256').update(content).digest('hex');
}
