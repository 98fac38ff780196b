import { ApiProblem, type Api, type Send } from '../client.js';
import type { HandClock } from '../clock.js';
import type { ReleaseDto } from '../contract/releases.dto.js';
import type { JudgementDto, PointJudgementDto } from '../contract/run-view.dto.js';
import type { ContainerDto, ScannedDto } from '../contract/stock.dto.js';
import { stepWindow, targetMs } from '../core/protocol/windows.js';
import type { BenchStamp } from '../core/run/events.js';
import { epochMs, type Instant } from '../core/time/instant.js';
import { span } from '../core/time/span.js';
import { BenchRun, controlSubjects, patientSubject } from './bench.js';
import { DYE, LABORATORY, PASSWORD, PATIENTS, PEOPLE, SALINE, STATIONS } from './laboratory.js';
import { type DemoLaboratory, setUpLaboratory, signIn } from './set-up.js';

/** Where the clock of the story must stand before the program starts. */
export const SET_UP: Instant = '2026-11-16T09:00:00.000Z';
const STORY_DAY = '2026-11-25T10:30:00.000Z';
/** Hands need it between two steps. */
const BETWEEN_MS = 4_000;
const POINT = 'adequacy';

/** What the gate said at the end of each run, and whether a release came of it. */
export interface Told {
  judgement: PointJudgementDto;
  released: boolean;
}

/** How one bedside run goes. */
interface Course {
  title: string;
  description: string;
  patient: (typeof PATIENTS)['thyroid'];
  dye: ContainerDto;
  dyedForMs: number;
  negative: { observed: string; passed: boolean };
  words: string;
}

/** The story: a laboratory, a core that is dyed as it should be, and one that is not. */
export class Story {
  constructor(
    private readonly send: Send,
    private readonly clock: HandClock,
    private readonly tell: (line: string) => void,
  ) {}

  async play(token: string): Promise<{ first: Told; second: Told }> {
    this.tell(`${this.day()}: the laboratory is set up.`);
    const laboratory = await setUpLaboratory(this.send, token, this.clock.now());
    const [oldDye, freshDye] = laboratory.bottles[DYE] ?? [];
    if (!oldDye || !freshDye) throw new Error('the set-up left fewer than two bottles of dye');
    this.say(`${PEOPLE.director.name}, director, approves three protocols with figures of the laboratory's own.`);
    this.say(`${PEOPLE.manager.name}, manager, receives, accepts and opens stock; among it ${oldDye.label},`);
    this.say('acridine orange, to be used within 7 days of opening.');

    this.clock.set(STORY_DAY);
    this.tell('');
    this.tell(`${this.day()}, ${STATIONS.bedside}.`);
    const technician = await signIn(this.send, 'technician');
    await this.open(technician, freshDye);
    await this.open(technician, laboratory.bottles[SALINE]?.[1] as ContainerDto);
    const first = await this.bedside(technician, laboratory, {
      title: 'A core of a lymph node of the neck, dyed as it should be',
      description: 'core, lymph node of the neck, left',
      patient: PATIENTS.lymphNode,
      dye: freshDye,
      dyedForMs: 20_000,
      negative: { observed: 'even faint background', passed: true },
      words: 'Adequate: many cells of lymphoid look; take no further pass.',
    });
    this.clock.forward(20 * 60_000);
    const second = await this.bedside(technician, laboratory, {
      title: 'A core of a thyroid nodule, where three things go wrong',
      description: 'core, thyroid nodule, right',
      patient: PATIENTS.thyroid,
      dye: oldDye,
      dyedForMs: 48_000,
      negative: { observed: 'the gel glows with spots like nuclei', passed: false },
      words: 'No answer yet: the dye cannot be trusted; please take another pass.',
    });
    return { first, second };
  }

  private async bedside(technician: Api, laboratory: DemoLaboratory, course: Course): Promise<Told> {
    this.tell('');
    this.tell(course.title);
    const core = await patientSubject(technician, {
      kind: 'specimen',
      description: course.description,
      takenAt: this.clock.now(),
      irreplaceable: true,
      identifiers: course.patient,
    });
    const run = await BenchRun.start(technician, () => this.stamp(), {
      revision: laboratory.revisions['ao-fresh'],
      station: STATIONS.bedside,
      subjects: [core, ...(await controlSubjects(technician, 'ao-fresh'))],
    });
    const saline = laboratory.bottles[SALINE]?.[1];
    const fixative = laboratory.bottles['nbf-10']?.[0];
    for (const bottle of [saline, course.dye, fixative]) {
      if (bottle) await this.scan(technician, run, bottle);
    }
    await run.confirmIdentities();
    this.say('Two identifiers of the patient are confirmed.');
    for (const { id } of run.view.revision.content.steps.slice(0, -2)) {
      await this.step(run, id, id === 'dye' ? course.dyedForMs : undefined);
    }
    await this.image(run, course);

    const pathologist = await signIn(this.send, 'pathologist');
    const judgement = await this.judgement(pathologist, run);
    this.clock.forward(10_000);
    await run.answer({
      subjectId: core.subjectId,
      point: POINT,
      words: course.words,
      listener: 'the radiologist',
    });
    this.say(`Said aloud and read back: "${course.words}"`);
    this.clock.forward(15_000);
    const released = await this.release(pathologist, run, core.subjectId, course.words);
    await this.step(run, 'into-fixative');
    await run.record('cleared', {});
    await pathologist.signOut();
    return { judgement, released };
  }

  private async open(technician: Api, bottle: ContainerDto): Promise<void> {
    await technician.post(`/containers/${bottle.id}/state`, { state: 'opened' });
    this.say(`${PEOPLE.technician.name} opens ${bottle.label}.`);
    this.clock.forward(BETWEEN_MS);
  }

  private async scan(technician: Api, run: BenchRun, bottle: ContainerDto): Promise<void> {
    const { message, lot } = await technician.post<ScannedDto>('/scan', { text: bottle.label });
    this.say(`Scanned: ${message}`);
    const { unusable } = await run.record('tray-scanned', { reagent: lot?.reagent ?? '', container: bottle.id });
    if (unusable.length > 0) this.say('It goes onto the tray all the same.');
    this.clock.forward(BETWEEN_MS);
  }

  /** Does a step for as long as given, or as it should take. */
  private async step(run: BenchRun, id: string, forMs?: number): Promise<void> {
    await run.record('step-started', { step: id });
    const started = this.time();
    const { step, ms } = this.planned(run, id);
    this.clock.forward(forMs ?? ms);
    await run.record('step-ended', { step: id });
    const { minMs, maxMs } = stepWindow(step);
    const limits = minMs === null ? `at most ${span(maxMs ?? 0)}` : `${span(minMs)} to ${span(maxMs ?? 0)}`;
    this.say(`${step.action}: ${span(forMs ?? ms)} (${limits})`, started);
    this.clock.forward(BETWEEN_MS);
  }

  /** The controls are imaged and read while the core still lies under the objective. */
  private async image(run: BenchRun, { negative }: Course): Promise<void> {
    await run.record('step-started', { step: 'image' });
    const { step, ms } = this.planned(run, 'image');
    this.say(`${step.action}: begins`);
    const readings = {
      positive: { observed: 'bright separate nuclei', passed: true },
      negative,
      autofluorescence: { observed: 'fibres only, no nuclear pattern', passed: true },
    };
    for (const { subjectId, control } of run.view.subjects) {
      const reading = Object.entries(readings).find(([id]) => id === control)?.[1];
      if (!reading) continue;
      this.clock.forward(15_000);
      await run.record('control-read', { control: subjectId, ...reading });
      this.say(`${control} control: ${reading.observed}: ${reading.passed ? 'as expected' : 'not as expected'}`);
    }
    this.clock.forward(ms - 45_000);
    await run.record('step-ended', { step: 'image' });
    this.say(`${step.action}: ends after ${span(ms)}`);
    this.clock.forward(BETWEEN_MS);
  }

  private async judgement(pathologist: Api, run: BenchRun): Promise<PointJudgementDto> {
    const { subjects } = await pathologist.get<JudgementDto>(`/runs/${run.view.id}/judgement`);
    const judgement = subjects[0]?.points.find(({ point }) => point === POINT);
    if (!judgement) throw new Error('the gate said nothing of the core');
    const { verdict, findings, title } = judgement;
    this.say(`The gate on "${title}": ${verdict}${findings.length === 0 ? ', no findings' : ''}`);
    for (const { rule, weight, what, measured, against, mend, source } of findings) {
      const compared = [measured ?? '', against === null ? '' : `against ${against}`].filter(Boolean).join(', ');
      this.tell(`            ${weight}  ${rule}: ${what}${compared === '' ? '' : ` (${compared})`}`);
      this.tell(`                  ${mend} [${source}]`);
    }
    return judgement;
  }

  private async release(pathologist: Api, run: BenchRun, subjectId: string, words: string): Promise<boolean> {
    const wanted = { subjectId, point: POINT, kind: 'adequacy', words, password: PASSWORD };
    try {
      const { signature } = await pathologist.post<ReleaseDto>(`/runs/${run.view.id}/releases`, wanted);
      this.say(`Released: adequacy, signed by ${signature.name}.`);
      return true;
    } catch (error) {
      if (!(error instanceof ApiProblem) || error.status !== 409 || error.problem.code !== 'held') throw error;
      this.say(`${PEOPLE.pathologist.name} tries to release it: refused (409).`);
      return false;
    }
  }

  private planned(run: BenchRun, id: string): { step: BenchStep; ms: number } {
    const step = run.view.revision.content.steps.find((each) => each.id === id);
    if (!step) throw new Error(`the protocol has no step ${id}`);
    return { step, ms: targetMs(step) };
  }

  private stamp(): BenchStamp {
    const at = this.clock.now();
    const clock = { clockSession: 'demo', monotonicMs: epochMs(at) - epochMs(SET_UP), offsetMs: 0, roundTripMs: 4 };
    return { device: STATIONS.bedside, at, uncertaintyMs: 3, ...clock, late: false };
  }

  private say(text: string, time = this.time()): void {
    this.tell(`  ${time}  ${text}`);
  }

  private time(): string {
    const clock = { hour: '2-digit', minute: '2-digit', second: '2-digit' } as const;
    return new Intl.DateTimeFormat('en-GB', { ...clock, timeZone: LABORATORY.zone }).format(new Date(this.clock.now()));
  }

  private day(): string {
    const day = { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' } as const;
    return new Intl.DateTimeFormat('en-GB', { ...day, timeZone: LABORATORY.zone }).format(new Date(this.clock.now()));
  }
}

type BenchStep = BenchRun['view']['revision']['content']['steps'][number];
