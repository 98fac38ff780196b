import { beforeAll, expect, it } from '@jest/globals';
import type { PaperSheetDto, PaperSheetListDto } from '../../src/contract/paper-sheets.dto.js';
import type { JudgementDto, RunViewDto } from '../../src/contract/run-view.dto.js';
import { plusMs } from '../../src/core/time/instant.js';
import { type Client } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { assessEverybody, furnish, type Furnished } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

type Refused = { code: string; detail: string; problems: { at: string }[] };

describeOnEachDatabase('Paper sheets', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    await assessEverybody(test, furnished.protocol.id);
  });

  const print = (body: object) => technician.post<PaperSheetDto[] & Refused>('/api/paper-sheets', body);
  const list = async () => (await technician.get<PaperSheetListDto>('/api/paper-sheets')).body;
  const start = (fromSheet: object, more: object = {}) =>
    technician.post<RunViewDto & Refused>('/api/runs', {
      revisionId: furnished.revisionId,
      station: 'Ultrasound 1',
      purpose: 'patients',
      subjects: [{ subjectId: furnished.core, role: 'patient' }],
      fromSheet,
      ...more,
    });

  it('are numbered without a gap, and each is entered once or declared void', async () => {
    const first = await print({ revisionId: furnished.revisionId, count: 2 });
    expect([first.status, first.body.map(({ number }) => number)]).toEqual([201, [1, 2]]);
    const again = await print({ revisionId: furnished.revisionId, count: 1 });
    expect(again.body.map(({ number, state }) => [number, state])).toEqual([[3, 'open']]);
    expect(again.body[0]?.label).toMatch(/^SW1:F:00000003/);
    expect(await list()).toMatchObject({ open: 3, next: null });
    expect((await print({ revisionId: furnished.revisionId, count: 51 })).status).toBe(422);
    expect((await technician.get('/api/paper-sheets?after=latest')).status).toBe(422);
    expect((await technician.get<PaperSheetListDto>('/api/paper-sheets?after=3&take=1')).body).toMatchObject({
      items: [{ number: 2 }],
      next: '2',
    });

    const [sheet] = again.body;
    const voided = await technician.post<PaperSheetDto>(`/api/paper-sheets/${sheet?.id}/void`, { reason: 'coffee' });
    expect([voided.status, voided.body.state, voided.body.reason]).toEqual([201, 'void', 'coffee']);
    const twice = await technician.post<Refused>(`/api/paper-sheets/${sheet?.id}/void`, { reason: 'coffee' });
    expect([twice.status, twice.body.code]).toEqual([409, 'sheet-ended']);
    const late = await start({ sheetId: sheet?.id, startedAt: test.clock.now() });
    expect([late.status, late.body.code]).toEqual([409, 'sheet-ended']);
    expect(late.body.detail).toContain('void');
    expect((await list()).open).toBe(2);
  });

  it('are entered in one act, whole or not at all, and the gate counts with how sure their clock was', async () => {
    const [sheet] = (await print({ revisionId: furnished.revisionId, count: 1 })).body;
    const begun = test.clock.now();
    test.clock.forward(3 * 3_600_000);
    // The session is over by then.
    technician = await test.as('technician');
    await assessEverybody(test, furnished.protocol.id);
    const future = await start({ sheetId: sheet?.id, startedAt: plusMs(test.clock.now(), 60_000) });
    expect([future.status, future.body.code]).toEqual([422, 'sheet-in-future']);
    const { status, body: run } = await start({ sheetId: sheet?.id, startedAt: begun });
    expect([status, run.startedAt]).toEqual([201, begun]);
    expect((await start({ sheetId: sheet?.id, startedAt: begun })).body.detail).toContain(run.id);

    // Each step follows the one before, at its target by a stopwatch; the clock of day was read to the minute.
    let at = plusMs(begun, 60_000);
    const steps = furnished.protocol.steps.map(({ id, time }) => {
      const step = { step: id, startedAt: at, lastedSec: time.target };
      at = plusMs(at, (time.target + 2) * 1000);
      return step;
    });
    const tray = Object.entries(furnished.containers).map(([reagent, container]) => ({
      reagent,
      container,
      at: begun,
    }));
    const clock = { aheadSec: 0, uncertaintySec: 60, stopwatchSec: 1 };
    const enter = (body: object) => technician.post<RunViewDto & Refused>(`/api/runs/${run.id}/paper-entry`, body);
    const wrong = await enter({ clock, tray, steps: [...steps, { step: 'nowhere', startedAt: at }] });
    expect(wrong.status).toBe(422);
    const kinds = async () =>
      (await technician.get<RunViewDto>(`/api/runs/${run.id}`)).body.events.map(({ kind }) => kind);
    expect(await kinds()).toEqual(['noted']);

    const entered = await enter({ clock, tray, steps, words: 'initials TP' });
    expect([entered.status, entered.body.events.length]).toEqual([201, 1 + tray.length + 2 * steps.length + 1]);
    expect(
      entered.body.events.every(({ stamp }) => stamp.late && stamp.device === `paper sheet ${sheet?.number}`),
    ).toBe(true);

    const { body: judged } = await technician.get<JudgementDto>(`/api/runs/${run.id}/judgement`);
    const found = judged.subjects.flatMap(({ points }) => points.flatMap(({ findings }) => findings));
    expect(found.some(({ rule }) => rule === 'entered-late')).toBe(true);
    expect(found.filter(({ rule }) => rule === 'step-long' || rule === 'step-short')).toEqual([]);
    // The times of day leave open whether the gaps between the steps were kept; what cannot be told is not called kept.
    expect(found.some(({ what }) => /start|gap|between/i.test(what))).toBe(true);

    const register = await list();
    expect(register.items.find(({ id }) => id === sheet?.id)).toMatchObject({ state: 'entered', runId: run.id });
    const no = await technician.post<Refused>('/api/runs/nowhere/paper-entry', { clock, tray: [], steps: [] });
    expect(no.status).toBe(404);
  });
});
