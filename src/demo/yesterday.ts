import type { Api, Send } from '../client.js';
import { SystemClock } from '../clock.js';
import type { RunEventDto, RunViewDto } from '../contract/run-view.dto.js';
import { makeLabel } from '../core/gs1/label.js';
import { targetMs } from '../core/protocol/windows.js';
import type { BenchStamp } from '../core/run/events.js';
import { epochMs, type Instant, plusMs } from '../core/time/instant.js';
import { endOfDay, localDay } from '../core/time/zone.js';
import { BenchRun, controlSubjects, patientSubject } from './bench.js';
import { PASSWORD, PATIENTS, STATIONS } from './laboratory.js';
import { type DemoLaboratory, signIn } from './set-up.js';

type Step = RunViewDto['revision']['content']['steps'][number];

/** How long before now the invented laboratory was set up, at the least. */
const SET_UP_BEFORE_MS = 26 * 3_600_000;
/** The day before takes less. */
const PLAYED_MS = 3 * 3_600_000;
/** Hands need it between two steps. */
const BETWEEN_MS = 4_000;
/** By so much a hand is later than the clock. */
const HAND_MS = 500;
const STAIN = 'he-harris-regressive';
const SLIDE_POINT = 'stained-slide';

/** The system's clock, set back while the day before today is played and brought up to it after that. */
export class SetBackClock extends SystemClock {
  private behindMs = 0;

  override now(): Instant {
    return plusMs(super.now(), -this.behindMs);
  }

  setBack(ms: number): void {
    this.behindMs = ms;
  }

  forward(ms: number): void {
    this.behindMs = Math.max(this.behindMs - ms, 0);
  }
}

/**
 * How far the clock is set back for the set-up. What is played after it must not run past midnight: a bath that is
 * filtered for the day would stand unfiltered in the middle of a rack.
 */
export function setUpBeforeMs(now: Instant, zone: string): number {
  const began = plusMs(now, -SET_UP_BEFORE_MS);
  const leftOfDay = epochMs(endOfDay(localDay(began, zone), zone)) - epochMs(began);
  return SET_UP_BEFORE_MS + Math.max(PLAYED_MS - leftOfDay, 0);
}

/**
 * The day before: a core that was dyed, answered and released; a rack of which one slide left and one waits for its
 * signature; and a rack whose nuclear stain ran long, so that the gate holds it. On the next morning a time of the core
 * is corrected, which puts its release in question.
 */
export async function playYesterday(send: Send, laboratory: DemoLaboratory, clock: SetBackClock): Promise<void> {
  const technician = await signIn(send, 'technician');
  const pathologist = await signIn(send, 'pathologist');
  const day = new Day(technician, laboratory, clock);
  const dyed = await day.core(pathologist);
  clock.forward(20 * 60_000);
  const good = await day.rack(['971', '972'], 'skin, scalp, punch');
  const [released] = good.subjects;
  await pathologist.post(`/runs/${good.id}/releases`, {
    subjectId: released?.subjectId,
    point: SLIDE_POINT,
    kind: 'stained material',
    password: PASSWORD,
  });
  clock.forward(15 * 60_000);
  await day.rack(['981'], 'skin, shin, shave', { 'nuclear-stain': 8 * 60_000 });
  await technician.post('/hand-over/notes', {
    text: 'Invented: the timer on the H&E line beeps late; the nuclear stain of the last rack ran long because of it.',
  });
  await technician.signOut();
  await pathologist.signOut();
  clock.setBack(0);
  const morning = await signIn(send, 'technician');
  await morning.post(`/runs/${dyed.runId}/events`, {
    kind: 'corrected',
    data: {
      event: dyed.id,
      at: plusMs(dyed.stamp.at, 3_000),
      uncertaintyMs: 900,
      reason: 'Invented: the stopwatch on the bench showed 27 seconds; the press came too early.',
    },
    stamp: await morning.stamp(STATIONS.bedside),
  });
  await morning.signOut();
}

class Day {
  private readonly beganMs: number;

  constructor(
    private readonly technician: Api,
    private readonly laboratory: DemoLaboratory,
    private readonly clock: SetBackClock,
  ) {
    this.beganMs = epochMs(clock.now());
  }

  /** A core at the bedside, as it should be; answers the end of its dye. */
  async core(pathologist: Api): Promise<RunEventDto> {
    const core = await patientSubject(this.technician, {
      kind: 'specimen',
      label: makeLabel('S', 'TARN-961'),
      description: 'core, parotid, right',
      takenAt: this.clock.now(),
      irreplaceable: true,
      identifiers: PATIENTS.parotid,
    });
    const run = await this.begin('ao-fresh', STATIONS.bedside, [core]);
    const answer = { subjectId: core.subjectId, point: 'adequacy', words: 'Adequate: many cells; no further pass.' };
    let dyed: RunEventDto | undefined;
    for (const step of run.view.revision.content.steps) {
      if (step.id === 'into-fixative') {
        await run.answer({ ...answer, listener: 'the radiologist' });
        this.clock.forward(15_000);
      }
      const ended = await this.step(run, step, step.id === 'dye' ? 24_000 : undefined);
      if (step.id === 'dye') dyed = ended;
    }
    await pathologist.post(`/runs/${run.view.id}/releases`, {
      subjectId: core.subjectId,
      point: answer.point,
      kind: 'adequacy',
      words: answer.words,
      password: PASSWORD,
    });
    await run.record('cleared', {});
    if (!dyed) throw new Error('the demo dyes a core, and its protocol has no such step');
    return dyed;
  }

  /** A rack of slides through the whole stain; `took` says which steps took another time than they should. */
  async rack(
    numbers: readonly string[],
    description: string,
    took: Readonly<Record<string, number>> = {},
  ): Promise<RunViewDto> {
    const parent = await patientSubject(this.technician, {
      kind: 'specimen',
      description,
      takenAt: plusMs(this.clock.now(), -3_600_000),
      irreplaceable: false,
      identifiers: PATIENTS.skin,
    });
    const slides = [];
    for (const [n, number] of numbers.entries()) {
      slides.push(
        await patientSubject(this.technician, {
          kind: 'slide',
          label: makeLabel('L', `TARN-${number}`),
          parentId: parent.subjectId,
          description: `${description}, section ${n + 1}`,
          irreplaceable: false,
        }),
      );
    }
    const run = await this.begin(STAIN, STATIONS.routine, slides);
    for (const step of run.view.revision.content.steps) await this.step(run, step, took[step.id]);
    await this.readControls(run);
    await run.record('cleared', {});
    return run.view;
  }

  private async begin(
    protocol: keyof DemoLaboratory['revisions'],
    station: string,
    patients: Awaited<ReturnType<typeof patientSubject>>[],
  ): Promise<BenchRun> {
    const run = await BenchRun.start(this.technician, () => this.stamp(station), {
      revision: this.laboratory.revisions[protocol],
      station,
      subjects: [...patients, ...(await controlSubjects(this.technician, protocol))],
    });
    for (const reagent of new Set(run.view.revision.content.steps.flatMap((step) => step.reagent ?? []))) {
      const bottle = this.laboratory.bottles[reagent]?.[0];
      if (bottle) await run.record('tray-scanned', { reagent, container: bottle.id });
    }
    await run.confirmIdentities();
    this.clock.forward(BETWEEN_MS);
    return run;
  }

  private stamp(station: string): BenchStamp {
    const at = this.clock.now();
    const clock = {
      clockSession: 'the day before',
      monotonicMs: epochMs(at) - this.beganMs,
      offsetMs: 0,
      roundTripMs: 4,
    };
    return { device: station, at, uncertaintyMs: 3, ...clock, late: false };
  }

  private async step(run: BenchRun, step: Step, tookMs = targetMs(step) + HAND_MS): Promise<RunEventDto> {
    await run.record('step-started', { step: step.id });
    this.clock.forward(tookMs);
    if (step.id === 'image') await this.readControls(run);
    const judgedBy = step.end === 'eye' ? { judgedBy: run.view.personId } : {};
    const { event } = await run.record('step-ended', { step: step.id, ...judgedBy });
    this.clock.forward(BETWEEN_MS);
    return event;
  }

  private async readControls(run: BenchRun): Promise<void> {
    for (const { subjectId, role } of run.view.subjects) {
      if (role === 'control')
        await run.record('control-read', { control: subjectId, observed: 'as ever', passed: true });
    }
  }
}
