import { fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { encode } from 'fast-png';
import sharp from 'sharp';
import { RUIFROK_JOHNSTON } from '../../src/core/stain-image/deconvolution.js';
import { measure } from '../../src/core/stain-image/measure.js';
import { readPicture } from '../../src/pictures/read.js';

/** 20 megapixels, painted with nuclei and grain so that no decoder has it easy. */
const [WIDTH, HEIGHT] = [5472, 3648];

/** A picture of 20 megapixels, decoded alone and decoded and measured, each in a process of its own. */
async function main(): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-pictures-'));
  try {
    const painted = paint();
    const files: Record<string, Uint8Array> = {
      png: encode({ width: WIDTH, height: HEIGHT, channels: 3, data: painted }),
      tiff: tiffOf(painted),
      jpeg: await sharp(painted, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } })
        .jpeg({ quality: 90, chromaSubsampling: '4:4:4' })
        .toBuffer(),
    };
    console.log(`a picture of ${((WIDTH * HEIGHT) / 1e6).toFixed(1)} megapixels, brightfield, three stains`);
    for (const [kind, content] of Object.entries(files)) {
      const file = join(folder, `picture.${kind}`);
      await writeFile(file, content);
      const alone = await child(file, 'decode');
      const whole = await child(file, 'measure');
      console.log(
        `  ${kind.padEnd(5)}${(content.length / 1e6).toFixed(0).padStart(4)} MB  decoded ${alone.ms} ms, ${alone.mb} MB  decoded and measured ${whole.ms} ms, ${whole.mb} MB  ratio ${(whole.ms / alone.ms).toFixed(2)} (at most 3; at most 600 MB)`,
      );
    }
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

interface Cost {
  ms: number;
  /** Most that the process held. */
  mb: number;
}

async function child(file: string, what: string): Promise<Cost> {
  const process = fork(new URL(import.meta.url), [file, what]);
  const [cost] = (await once(process, 'message')) as [Cost];
  await once(process, 'exit');
  return cost;
}

async function work(file: string, what: string): Promise<void> {
  const content = readFileSync(file);
  const start = process.cpuUsage();
  const { picture } = await readPicture(content);
  if (what === 'measure') measure(picture, { kind: 'brightfield', stains: RUIFROK_JOHNSTON });
  // Of the processor: what else this machine does is no part of it.
  const { user, system } = process.cpuUsage(start);
  const ms = Math.round((user + system) / 1000);
  process.send?.({ ms, mb: Math.round(process.resourceUsage().maxRSS / 1024) } satisfies Cost);
}

function paint(): Uint8Array {
  const data = new Uint8Array(WIDTH * HEIGHT * 3);
  let grain = 1;
  for (let i = 0; i < data.length; i++) {
    const pixel = Math.floor(i / 3);
    const [x, y] = [(pixel % WIDTH) % 40, Math.floor(pixel / WIDTH) % 40];
    grain ^= grain << 13;
    grain ^= grain >>> 17;
    grain ^= grain << 5;
    data[i] = ((x - 20) ** 2 + (y - 20) ** 2 < 120 ? 80 + 20 * (i % 3) : 235) + ((grain >>> 16) % 9);
  }
  return data;
}

/** Deflated strips of 64 rows, little endian (TIFF 6.0). */
function tiffOf(data: Uint8Array): Buffer {
  const rows = 64;
  const strips = Array.from({ length: Math.ceil(HEIGHT / rows) }, (_, n) =>
    deflateSync(data.subarray(n * rows * WIDTH * 3, (n + 1) * rows * WIDTH * 3), { level: 1 }),
  );
  const lists = Buffer.alloc(strips.length * 8 + 6);
  let at = 8 + lists.length;
  strips.forEach((strip, n) => {
    lists.writeUInt32LE(at, 4 * n);
    lists.writeUInt32LE(strip.length, 4 * (strips.length + n));
    at += strip.length;
  });
  for (const n of [0, 1, 2]) lists.writeUInt16LE(8, strips.length * 8 + 2 * n);
  const tags: [tag: number, type: 3 | 4, count: number, value: number][] = [
    [256, 4, 1, WIDTH],
    [257, 4, 1, HEIGHT],
    [258, 3, 3, 8 + strips.length * 8],
    [259, 3, 1, 8],
    [262, 3, 1, 2],
    [273, 4, strips.length, 8],
    [277, 3, 1, 3],
    [278, 4, 1, rows],
    [279, 4, strips.length, 8 + 4 * strips.length],
  ];
  const directory = Buffer.alloc(2 + 12 * tags.length + 4);
  directory.writeUInt16LE(tags.length, 0);
  tags.forEach(([tag, type, count, value], n) => {
    directory.writeUInt16LE(tag, 2 + 12 * n);
    directory.writeUInt16LE(type, 4 + 12 * n);
    directory.writeUInt32LE(count, 6 + 12 * n);
    directory.writeUInt32LE(value, 10 + 12 * n);
  });
  const head = Buffer.from('49492a0000000000', 'hex');
  head.writeUInt32LE(at, 4);
  return Buffer.concat([head, lists, ...strips, directory]);
}

const [file, what] = process.argv.slice(2);
if (file !== undefined && what !== undefined) await work(file, what);
else await main();
