import { createHash, type Hash } from 'node:crypto';
import { once } from 'node:events';
import { createReadStream, createWriteStream } from 'node:fs';
import { appendFile, mkdir, readFile, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { PassThrough, type Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { crc32, createDeflateRaw, createInflateRaw } from 'node:zlib';
import type { PackFile } from '../core/pack/manifest.js';

/** A file of a pack as it lies on the disk: deflated for a zip, or as it is. */
export interface LaidFile extends PackFile {
  path: string;
  crc32: number;
}

interface Part {
  part: string;
  files: LaidFile[];
  answer: unknown;
}

/** Deflate's effort: most of the gain at a third of the time of the usual 6. */
const LEVEL = 3;
const DONE = 'done.jsonl';

/** Something that a part writes to. */
export interface OutFile {
  write(content: string | Uint8Array): Promise<void>;
}

export type OpenFile = (name: string) => Promise<OutFile>;

/**
 * Where the files of a pack are written, part by part. Deflated, into a folder beside the pack to be: a part that is done
 * is noted with the hashes of its files, so that whoever goes on after an interruption need not write it again. Or as
 * they are, into the folder that is the pack itself.
 */
export class Outlet {
  private readonly done = new Map<string, Part>();

  private constructor(
    private readonly folder: string,
    private readonly deflated: boolean,
  ) {}

  /** A folder whose parts are kept for whoever goes on; it is made when it is not there. */
  static async staged(folder: string): Promise<Outlet> {
    // What is masked in the pack can be told with what lies here.
    await mkdir(folder, { recursive: true, mode: 0o700 });
    const outlet = new Outlet(folder, true);
    for (const part of await partsIn(join(folder, DONE))) outlet.done.set(part.part, part);
    return outlet;
  }

  /** A folder that is the pack itself. */
  static plain(folder: string): Outlet {
    return new Outlet(folder, false);
  }

  /** Every file so far, in the order in which they were written. */
  get files(): LaidFile[] {
    return [...this.done.values()].flatMap(({ files }) => files);
  }

  /** Does a part unless it is done, and answers what it came to. */
  async part<T>(name: string, work: (open: OpenFile) => Promise<T>): Promise<T> {
    const before = this.done.get(name);
    if (before) return before.answer as T;
    const writers: Writer[] = [];
    try {
      const answer = await work(async (file) => {
        const writer = await Writer.open(file, this.pathOf(file, writers.length), this.deflated);
        writers.push(writer);
        return writer;
      });
      const part: Part = { part: name, files: [], answer };
      for (const writer of writers) part.files.push(await writer.close());
      if (this.deflated) await appendFile(join(this.folder, DONE), `${JSON.stringify(part)}\n`, { mode: 0o600 });
      this.done.set(name, part);
      return answer;
    } catch (error) {
      for (const writer of writers) await writer.drop();
      throw error;
    }
  }

  private pathOf(name: string, sibling: number): string {
    if (!this.deflated) return join(this.folder, name);
    return join(this.folder, `${String(this.done.size).padStart(6, '0')}-${sibling}`);
  }
}

class Writer implements OutFile {
  private readonly hash: Hash = createHash('sha256');
  private bytes = 0;
  private crc = 0;

  private constructor(
    private readonly name: string,
    private readonly path: string,
    private readonly stream: Transform,
    private readonly written: Promise<void>,
  ) {
    // Told by whoever writes or closes next.
    written.catch(() => undefined);
  }

  static async open(name: string, path: string, deflated: boolean): Promise<Writer> {
    await mkdir(dirname(path), { recursive: true });
    const stream = deflated ? createDeflateRaw({ level: LEVEL }) : new PassThrough();
    return new Writer(name, path, stream, pipeline(stream, createWriteStream(path)));
  }

  async write(content: string | Uint8Array): Promise<void> {
    const bytes = typeof content === 'string' ? Buffer.from(content) : content;
    if (bytes.length === 0) return;
    this.hash.update(bytes);
    this.crc = crc32(bytes, this.crc);
    this.bytes += bytes.length;
    if (this.stream.write(bytes)) return;
    await Promise.race([once(this.stream, 'drain'), this.written]);
  }

  async close(): Promise<LaidFile> {
    this.stream.end();
    await this.written;
    const { name, path, bytes, crc } = this;
    return { name, bytes, sha256: this.hash.digest('hex'), path, crc32: crc };
  }

  async drop(): Promise<void> {
    this.stream.destroy();
    await this.written.catch(() => undefined);
    await rm(this.path, { force: true });
  }
}

/**
 * The parts that are noted and whose files are what they were; the first that is not ends them. Nothing was brought to the
 * disk for certain, which would take longer than most parts: a power cut shows here.
 */
async function partsIn(path: string): Promise<Part[]> {
  const parts: Part[] = [];
  for (const line of await linesOf(path)) {
    const part = readPart(line);
    if (!part) return parts;
    for (const file of part.files) if (!(await isWhole(file))) return parts;
    parts.push(part);
  }
  return parts;
}

function readPart(line: string): Part | null {
  try {
    return JSON.parse(line) as Part;
  } catch {
    return null;
  }
}

async function isWhole({ path, sha256 }: LaidFile): Promise<boolean> {
  const hash = createHash('sha256');
  try {
    await pipeline(createReadStream(path), createInflateRaw(), hash);
    return hash.digest('hex') === sha256;
  } catch {
    return false;
  }
}

async function linesOf(path: string): Promise<string[]> {
  try {
    return (await readFile(path, 'utf8')).split('\n').filter((line) => line !== '');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}
