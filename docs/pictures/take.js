// npm run pictures: starts the built demo on a free port with a fresh data folder, plays one bedside run to its release,
// and writes the pictures of README and docs. Takes about two minutes, since the dye takes its time.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import sharp from 'sharp';
import { Api, overHttp } from '../../dist/client.js';
import { PASSWORD, PEOPLE, STATIONS } from '../../dist/demo/laboratory.js';

const DESK = { width: 1280, height: 860 };
const PHONE = { width: 390, height: 844 };
const SECOND_MS = 1000;

/** How long each step of the bedside run is done, in seconds, inside the windows that the demo's director set. */
const DONE_FOR = { receive: 1, 'rinse-blood': 4, dye: 20, 'rinse-dye': 8, 'blot-and-mount': 1, image: 33 };
const READINGS = {
  positive: 'bright separate nuclei',
  negative: 'even faint background',
  autofluorescence: 'fibres only, no nuclear pattern',
};

const folder = await mkdtemp(join(tmpdir(), 'stainwright-pictures-'));
const program = spawn(process.execPath, ['dist/main.js'], {
  cwd: fileURLToPath(new URL('../../', import.meta.url)),
  env: { PATH: process.env.PATH, STAINWRIGHT_DEMO: 'on', DATA_DIR: folder, PORT: '0', LOG_LEVEL: 'warn' },
  stdio: ['ignore', 'pipe', 'inherit'],
});
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu'],
});
try {
  const url = await addressOf(program);
  const [technician, pathologist, director] = await Promise.all(
    ['technician', 'pathologist', 'director'].map((who) => Api.signIn(overHttp(url), PEOPLE[who].login, PASSWORD)),
  );
  const { runs } = await technician.get('/bench');
  const run = runs.find(({ station }) => station === STATIONS.bedside);
  const core = run.subjects.find(({ role }) => role === 'patient');

  const bench = await signedIn(url, 'technician', DESK);
  const phone = await signedIn(url, 'technician', PHONE);
  await play(technician, run, async () => {
    await taken(bench, 'bench');
    await taken(phone, 'bench-phone');
  });

  const release = await signedIn(url, 'pathologist', DESK);
  await release.goto(`${url}/release/${run.id}`);
  await taken(release, 'release');
  await pathologist.post(`/runs/${run.id}/releases`, {
    subjectId: core.subjectId,
    point: 'adequacy',
    kind: 'adequacy',
    words: 'Adequate: many cells of lymphoid look; take no further pass.',
    password: PASSWORD,
  });

  // The demo's own: a time of the day before was corrected this morning.
  await release.goto(`${url}/release/second-looks`);
  await release.getByText('in question', { exact: true }).waitFor();
  await taken(release, 'second-looks');

  const series = (await director.get('/control-series')).items[0].levels[0].id;
  const desk = await signedIn(url, 'director', DESK);
  for (const [path, name] of [
    ['/record/requirements/procedure-approved', 'requirement'],
    ['/stock/outlook', 'outlook'],
    [`/controls/charts/${series}`, 'chart'],
  ]) {
    await desk.goto(url + path);
    await taken(desk, name);
  }
} finally {
  await browser.close();
  if (program.exitCode === null) {
    program.kill('SIGTERM');
    await once(program, 'exit');
  }
  await rm(folder, { recursive: true, force: true });
}

async function addressOf({ stdout }) {
  let said = '';
  for await (const text of stdout.setEncoding('utf8').iterator({ destroyOnReturn: false })) {
    said += text;
    const found = /listens at (\S+)/.exec(said);
    if (found) return found[1];
  }
  throw new Error(`The demo did not start: run "npm run build" first. It said: ${said}`);
}

async function signedIn(url, who, viewport) {
  const context = await browser.newContext({ viewport, colorScheme: 'light', reducedMotion: 'reduce' });
  const page = await context.newPage();
  await page.goto(url);
  await page.getByLabel('Name for signing in').fill(PEOPLE[who].login);
  await page.getByLabel('Password').fill(PASSWORD);
  await page.keyboard.press('Enter');
  await page.getByRole('navigation', { name: 'Screens' }).waitFor();
  // The pictures show the pages and not who learns them.
  await page.getByRole('button', { name: 'Put away', exact: true }).click();
  await page.getByRole('button', { name: 'Dismiss', exact: true }).click();
  return page;
}

/** Does the bedside run step by step; `meanwhile` is done while the core lies in the dye. */
async function play(technician, { id, subjects }, meanwhile) {
  const record = async (kind, data) => {
    await technician.post(`/runs/${id}/events`, { kind, data, stamp: await technician.stamp(STATIONS.bedside) });
  };
  for (const [step, seconds] of Object.entries(DONE_FOR)) {
    await record('step-started', { step });
    const over = wait(seconds * SECOND_MS);
    if (step === 'dye') await meanwhile();
    if (step === 'image') {
      for (const { subjectId, control } of subjects) {
        if (control) await record('control-read', { control: subjectId, observed: READINGS[control], passed: true });
      }
    }
    await over;
    await record('step-ended', { step });
  }
}

/** What a person sees without scrolling, once everything is there, with as few colours as it has. */
async function taken(page, name) {
  await page.locator('h1').first().waitFor();
  await page.waitForTimeout(SECOND_MS);
  const png = await sharp(await page.screenshot())
    .png({ palette: true, compressionLevel: 9 })
    .toBuffer();
  await writeFile(new URL(`${name}.png`, import.meta.url), png);
  process.stdout.write(`docs/pictures/${name}.png, ${Math.ceil(png.length / 1024)} kB\n`);
}
