import { createHash } from 'node:crypto';
import { createReadStream, createWriteStream, existsSync } from 'node:fs';
import { type FileHandle, mkdir, open, rename, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { Readable, Writable } from 'node:stream';
import { configure, type Entry, Reader, TextWriter, ZipReader, ZipWriter } from '@zip.js/zip.js';
import { type BackedUp, PLACES } from './manifest.js';

configure({ useWebWorkers: false });

/** Writes one zip file with 64-bit sizes, which is there under its name whole or not at all. */
export class ArchiveWriter {
  readonly files: BackedUp[] = [];
  private readonly part: string;
  private readonly zip: ZipWriter<unknown>;
  /** What went wrong with the disk is the cause of whatever the zip's writer says. */
  private readonly failed: Promise<never>;

  constructor(private readonly to: string) {
    if (existsSync(to)) throw new Error(`${to} is there already; name a file that is not, or move it away.`);
    this.part = `${to}.part`;
    const out = createWriteStream(this.part, { mode: 0o600 });
    this.failed = new Promise<never>((_, reject) => out.once('error', reject));
    this.failed.catch(() => undefined);
    this.zip = new ZipWriter(Writable.toWeb(out) as WritableStream<Uint8Array>, { zip64: true });
  }

  /** Adds a file of the disk; `packed` says that it would not become smaller. */
  async add(name: string, path: string, { packed }: { packed: boolean }): Promise<void> {
    const hash = createHash('sha256');
    let bytes = 0;
    async function* read(): AsyncGenerator<Uint8Array> {
      for await (const chunk of createReadStream(path) as AsyncIterable<Uint8Array>) {
        hash.update(chunk);
        bytes += chunk.length;
        yield chunk;
      }
    }
    await this.put(name, Readable.from(read()), packed ? 0 : 6);
    this.files.push({ name, bytes, sha256: hash.digest('hex') });
  }

  /** Adds the manifest and ends the file. */
  async close(manifest: object): Promise<void> {
    await this.put(PLACES.manifest, Readable.from([Buffer.from(`${JSON.stringify(manifest, null, 2)}\n`)]), 6);
    await Promise.race([this.zip.close(), this.failed]);
    await synced(this.part);
    await rename(this.part, this.to);
    await synced(dirname(this.to));
  }

  async drop(): Promise<void> {
    await rm(this.part, { force: true });
  }

  private async put(name: string, content: Readable, level: number): Promise<void> {
    const stream = Readable.toWeb(content) as ReadableStream<Uint8Array>;
    await Promise.race([this.zip.add(name, stream, { level }), this.failed]);
  }
}

/** Does something with the content of a zip file; says in words when it is none. */
export async function withArchive<T>(path: string, work: (archive: Archive) => Promise<T>): Promise<T> {
  const file = await open(path, 'r').catch((error: NodeJS.ErrnoException) => {
    throw new Error(`${path} cannot be read (${error.code ?? error.message}).`, { cause: error });
  });
  const zip = new ZipReader(new DiskReader(file));
  try {
    const entries = await zip.getEntries().catch((error: unknown) => {
      throw new Error(`${path} is no whole backup (${(error as Error).message}); take another.`, { cause: error });
    });
    return await work(new Archive(path, entries));
  } finally {
    await zip.close();
    await file.close();
  }
}

export class Archive {
  constructor(
    private readonly path: string,
    private readonly entries: readonly Entry[],
  ) {}

  get names(): string[] {
    return this.entries.map(({ filename }) => filename);
  }

  text(name: string): Promise<string> {
    return this.read(name, new TextWriter());
  }

  /** Writes an entry to the disk and answers what it turned out to be. */
  async extract(name: string, to: string): Promise<BackedUp> {
    await mkdir(dirname(to), { recursive: true });
    const hash = createHash('sha256');
    let bytes = 0;
    const out = createWriteStream(to, { flags: 'wx', mode: 0o600 });
    const seen = new TransformStream<Uint8Array, Uint8Array>({
      transform(chunk, controller) {
        hash.update(chunk);
        bytes += chunk.length;
        controller.enqueue(chunk);
      },
    });
    const written = seen.readable.pipeTo(Writable.toWeb(out) as WritableStream<Uint8Array>);
    await Promise.all([this.read(name, seen.writable), written]);
    return { name, bytes, sha256: hash.digest('hex') };
  }

  private async read<T>(name: string, to: WritableStream | TextWriter): Promise<T> {
    const entry = this.entries.find(({ filename }) => filename === name);
    if (!entry || entry.directory) throw new Error(`${this.path} is no whole backup: it lacks ${name}. Take another.`);
    try {
      return (await entry.getData(to)) as T;
    } catch (error) {
      throw new Error(`${name} in ${this.path} cannot be read (${(error as Error).message}); take another backup.`, {
        cause: error,
      });
    }
  }
}

/** Where a name of an archive lies below a folder; refuses one that leads out of it. */
export function below(folder: string, name: string): string {
  if (!/^(?!.*(^|\/)\.\.?(\/|$))[\w.%-]+(\/[\w.%-]+)*$/.test(name)) {
    throw new Error(`"${name}" is no name that a backup has; take another backup.`);
  }
  return join(folder, name);
}

/** Reads a file here and there, as a zip has to be. */
class DiskReader extends Reader<FileHandle> {
  private readonly file: FileHandle;

  constructor(file: FileHandle) {
    super(file);
    this.file = file;
  }

  override async init(): Promise<void> {
    await super.init?.();
    this.size = (await this.file.stat()).size;
  }

  override async readUint8Array(index: number, length: number): Promise<Uint8Array> {
    const { bytesRead, buffer } = await this.file.read(Buffer.alloc(length), 0, length, index);
    return buffer.subarray(0, bytesRead);
  }
}

async function synced(path: string): Promise<void> {
  const file = await open(path, 'r');
  await file.sync().finally(() => file.close());
}
