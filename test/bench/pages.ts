import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { Api, overHttp } from '../../src/client.js';
import type { ProtocolSummaryDto, RevisionDto } from '../../src/contract/protocols.dto.js';
import type { RunViewDto } from '../../src/contract/run-view.dto.js';
import type { SubjectDto } from '../../src/contract/specimens.dto.js';
import { PASSWORD } from '../../src/demo/laboratory.js';
import { openBrowser, signIn } from '../support/browser.js';

const LOGIN = 'tansy';

/** Frames of a screen with 60 a second; one that took half as long again was not shown in its turn. */
const FRAME_MS = 1000 / 60;

/** Said as text, since it runs in the page: the times between frames, in ms, for as long as it is told. */
const FRAME_GAPS = `(ms) => new Promise((resolve) => {
  const between = [];
  const begin = performance.now();
  let last = begin;
  const frame = (now) => {
    between.push(now - last);
    last = now;
    if (now - begin < ms) requestAnimationFrame(frame);
    else resolve(between.slice(1));
  };
  requestAnimationFrame(frame);
})`;

/** Brings runs with a running step each onto one bench, for training, so that nothing else is needed. */
export async function startRuns(url: string, count: number): Promise<void> {
  const api = await Api.signIn(overHttp(url), LOGIN, PASSWORD);
  const protocols = await api.get<ProtocolSummaryDto[]>('/protocols');
  const revision = protocols.find(({ id }) => id === 'he-harris-regressive')?.revisions.find(({ inForce }) => inForce);
  const { content } = await api.get<RevisionDto>(`/revisions/${revision?.id ?? ''}`);
  const [control] = content.controls;
  const [step] = content.steps;
  const material = { kind: 'control', description: 'section of appendix', irreplaceable: false };
  const { id: subjectId } = await api.post<SubjectDto>('/subjects', material);
  for (let n = 0; n < count; n += 1) {
    const subjects = [{ subjectId, role: 'control', control: control?.id }];
    const run = { revisionId: revision?.id, station: `Rack ${n + 1}`, purpose: 'training', subjects };
    const { id } = await api.post<RunViewDto>('/runs', run);
    await api.post(`/runs/${id}/events`, {
      kind: 'step-started',
      data: { step: step?.id },
      stamp: await api.stamp('bench'),
    });
  }
}

/** How the bench page does with the timers that run, in headless Chromium; null without one. */
export async function measureTimers(
  url: string,
  seconds: number,
): Promise<{ frames: number; dropped: number; slowestMs: number } | null> {
  const executable = process.env['CHROMIUM_PATH'] ?? '/usr/bin/chromium';
  if (!existsSync(executable)) return null;
  const browser = await openBrowser(executable);
  try {
    const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
    await signIn(page, url, LOGIN, PASSWORD);
    await page.getByRole('region', { name: 'Next' }).waitFor();
    // The page is drawn and its data are there; what follows is only the timers.
    await page.waitForTimeout(2000);
    const gaps = await page.evaluate<number[]>(`(${FRAME_GAPS})(${seconds * 1000})`);
    return {
      frames: gaps.length,
      dropped: gaps.filter((gap) => gap > FRAME_MS * 1.5).length,
      slowestMs: Math.max(...gaps),
    };
  } finally {
    await browser.close();
  }
}

interface Chunk {
  file: string;
  src?: string;
  imports?: string[];
  isEntry?: true;
}

/** Compressed size of all script that the bench page loads, in kB. */
export function benchScriptKb(web: string): number {
  const manifest = JSON.parse(readFileSync(join(web, '.vite/manifest.json'), 'utf8')) as Record<string, Chunk>;
  const files = new Set<string>();
  const follow = (name: string): void => {
    const chunk = manifest[name];
    if (!chunk || files.has(chunk.file)) return;
    files.add(chunk.file);
    chunk.imports?.forEach(follow);
  };
  for (const [name, { isEntry }] of Object.entries(manifest))
    if (isEntry || name.endsWith('BenchScreen.tsx')) follow(name);
  return [...files].reduce((sum, file) => sum + gzipSync(readFileSync(join(web, file))).length, 0) / 1000;
}
