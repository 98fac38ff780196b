import { beforeAll, expect, it } from '@jest/globals';
import type { SeriesDto } from '../../src/contract/control-series.dto.js';
import type { MonthDto } from '../../src/contract/month.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { instantOf } from '../../src/core/time/instant.js';
import { InstrumentActRow, InstrumentRow } from '../../src/store/rows/instruments.entity.js';
import { runReport } from '../../src/store/questions/run-report.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { pagesOf } from '../support/pdf.js';
import { onProgram, test } from '../support/stage.js';

const NUMBER = 'HIVE3317';
/** Half past eleven in the night of the last day of November in the laboratory's zone, an hour behind. */
const LAST_NIGHT = '2026-12-01T00:30:00.000Z';

describeWith('pdftotext', 'Printed', (pdftotext) => {
  describeOnEachDatabase('reports', (fresh) => {
    onProgram(fresh);

    let furnished: Furnished;
    let technician: Client;
    let manager: Client;
    let runId: string;
    let released: { startedAt: string; at: string };

    beforeAll(async () => {
      furnished = await furnish(test);
      technician = await test.as('technician');
      manager = await test.as('manager');
      await test.createPerson('corvin', ['releaser'], 'Corvin Lanternquay');
      await test.createPerson('isolde', ['director'], 'Isolde Fathomgate');
      const core = await technician.post<{ id: string }>('/api/subjects', {
        kind: 'specimen',
        description: 'core, thyroid, right',
        irreplaceable: true,
        identifiers: [
          { kind: 'patient number', value: NUMBER },
          { kind: 'patient name', value: 'Fennimore Driftwood (invented)' },
        ],
      });
      furnished.core = core.body.id;
      runId = await playedRun(technician, 'station-1', { dye: 200 });
      const releaser = await test.signIn('corvin');
      const { status, body } = await releaser.post<{ signature: { at: string } }>(`/api/runs/${runId}/releases`, {
        subjectId: furnished.core,
        point: 'adequacy',
        kind: 'adequacy',
        words: 'Adequate, follicular groups.',
        exception: { reason: 'Nuclei are crisp all the same.', secondLogin: 'isolde', secondPassword: PASSWORD },
        password: PASSWORD,
      });
      if (status !== 201) throw new Error(JSON.stringify(body));
      const { startedAt } = (await technician.get<{ startedAt: string }>(`/api/runs/${runId}`)).body;
      released = { startedAt, at: body.signature.at };
    });

    const playedRun = async (client: Client, device: string, seconds: Record<string, number> = {}): Promise<string> => {
      const bench = new Bench(test, client, furnished, device);
      const id = await bench.start();
      await bench.play(id, seconds);
      return id;
    };
    const printed = async (path: string, client: Client = technician): Promise<{ status: number; pages: string[] }> => {
      const answer = await fetch(`${test.url}/api${path}`, { headers: client.headers });
      const bytes = Buffer.from(await answer.arrayBuffer());
      if (answer.status !== 200) return { status: answer.status, pages: [bytes.toString()] };
      expect(answer.headers.get('content-type')).toBe('application/pdf');
      return { status: 200, pages: pagesOf(pdftotext, bytes) };
    };

    it('tell of a run what was done, found and signed, from one number of the record', async () => {
      const report = await test.store.read(LABORATORY, (view) => runReport(view, runId));
      expect(report.steps.map(({ id, performances }) => [id, performances[0]?.measured?.verdict])).toEqual(
        furnished.protocol.steps.map(({ id }) => [id, id === 'dye' ? 'long' : 'within']),
      );
      expect(report.reagents).toHaveLength(Object.keys(furnished.containers).length);
      expect(report.reagents[0]).toMatchObject({ against: [], limit: { by: 'opened' } });
      expect(report.findings).toMatchObject([
        { id: 'step-long:dye', how: [{ way: 'released over', by: 'Corvin Lanternquay and Isolde Fathomgate' }] },
      ]);
      expect(report.signatures.map(({ name, meaning }) => [name, meaning])).toEqual([
        ['Corvin Lanternquay', 'release'],
        ['Isolde Fathomgate', 'responsibility'],
      ]);
      const { pages, status } = await printed(`/runs/${runId}/report.pdf`);
      expect([status, pages.length]).toEqual([200, 1]);
      const [page = ''] = pages;
      expect(page).toContain(report.record.hash);
      expect(page).toMatch(/Released by exception over: .*too long\./);
      expect(page).toMatch(/too long/);
      expect(page).toContain('not a diagnosis');
      expect(page).toContain('patient number: •••••');
      expect(page).not.toContain(NUMBER);
    });

    it('name the patient only to whom it may be named, and print no words when told so', async () => {
      const path = `/runs/${runId}/report.pdf`;
      expect((await printed(`${path}?identifiers=included`)).pages.join()).toContain(NUMBER);
      expect((await printed(`${path}?identifiers=included`, manager)).status).toBe(403);
      const [page = ''] = (await printed(`${path}?identifiers=left%20out&paper=Letter`)).pages;
      expect(page).not.toMatch(/HIVE|Driftwood|•|follicular/);
      expect((await printed(`${path}?paper=A3`)).status).toBe(422);
      expect((await printed('/runs/nothing/report.pdf')).status).toBe(404);
    });

    it('chart a series with its rule hits and what was done', async () => {
      const series = await measuredSeries();
      const { status, pages } = await printed(`/control-series/${series}/chart.pdf`);
      expect(status).toBe(200);
      const text = pages.join('\n');
      for (const word of ['EWMA', 'CUSUM', '+3 SD', '1-3s', 'corrective action']) expect(text).toContain(word);
    });

    const measuredSeries = async (): Promise<string> => {
      const { body } = await manager.post<SeriesDto>('/api/control-series', {
        code: 'thermometer',
        title: 'Water bath',
        unit: 'Cel',
        levels: ['bath'],
        rules: [{ rule: '1-3s', weight: 'reject' }],
      });
      const id = body.levels[0]?.id ?? '';
      const from = test.clock.now();
      for (const value of [40, 41, 40, 41, 40, 41]) {
        test.clock.forward(1000);
        await manager.post(`/api/control-series/${id}/values`, { values: [{ level: 'bath', value }] });
      }
      const to = test.clock.now();
      test.clock.forward(1000);
      const limits = { source: 'first points', from, to, since: to, reason: 'the first ones', password: PASSWORD };
      expect((await manager.post(`/api/control-series/${id}/limits`, limits)).status).toBe(200);
      await manager.post(`/api/control-series/${id}/values`, { values: [{ level: 'bath', value: 60 }] });
      test.clock.forward(1000);
      await manager.post(`/api/control-series/${id}/marks`, { kind: 'corrective action', text: 'water changed' });
      test.clock.forward(1000);
      await manager.post(`/api/control-series/${id}/values`, { values: [{ level: 'bath', value: 40 }] });
      return id;
    };

    it('count a month by the laboratory’s own zone, and say plainly what there is no record of', async () => {
      const empty = (await manager.get<MonthDto>('/api/reports/month/2026-10')).body;
      expect([empty.over, empty.work, empty.late, empty.deviations, empty.ranOut]).toEqual([true, [], [], [], []]);
      expect((await printed('/reports/month/2026-10/summary.pdf')).pages.join()).toMatch(/No run: no record exists/);
      await lastDays();
      const worker = await test.as('technician');
      const { body: month } = await worker.get<MonthDto>('/api/reports/month/2026-11');
      const waited = Date.parse(released.at) - Date.parse(released.startedAt);
      expect(month.work).toMatchObject([
        {
          ...{ protocolId: 'ao-fresh', runs: 2, runsForPatients: 2, abandoned: 0, cases: 2, released: 1, clear: 0 },
          ...{ exceptions: 1, amended: 0, withdrawn: 0, late: 1, corrections: 1 },
          turnaround: { cases: 1, medianMs: waited, p90Ms: waited },
        },
      ]);
      expect(month.late).toMatchObject([{ late: 1, corrections: 1 }]);
      expect(month.findings).toMatchObject([{ rule: 'step-long', releases: 1, stops: 1, settled: 0, excepted: 1 }]);
      const [controls] = month.controls;
      expect(controls).toMatchObject({ protocolId: 'ao-fresh', failed: 0, daysOfUse: 2, uses: 2 });
      expect(controls && controls.answered + controls.missed + controls.open).toBe(controls?.due);
      expect(month.series.map(({ series }) => series.code)).toEqual(['thermometer']);
      expect(month.lots).toMatchObject([{ what: 'expired', number: 'QUILL-9', containers: 1 }]);
      expect(month.waste).toMatchObject([{ containers: 1, amount: 500, unit: 'mL' }]);
      expect(month.ranOut).toMatchObject([{ what: 'calibration', name: 'TH-04', renewedAt: null }]);
      expect(month.rounds).toMatchObject([{ round: 'R-3', standing: 'to be stained', score: null }]);
      expect(month.deviations).toMatchObject([{ number: 1, state: 'opened', effect: 'result late or repeated' }]);
      const { pages } = await printed('/reports/month/2026-11/summary.pdf', worker);
      expect(pages.join()).toMatch(/1 of 1[^]*QUILL-9[^]*TH-04[^]*R-3/);
      expect(pages.length).toBeLessThanOrEqual(2);
      for (const [wrong, status] of [
        ['2026-12', 422],
        ['2026-13', 422],
        ['now', 422],
      ] as const) {
        expect([wrong, (await worker.get(`/api/reports/month/${wrong}`)).status]).toEqual([wrong, status]);
      }
    });

    /** What happens until the last hour of November: a lot expires, one bottle is discarded, a calibration ends, a run. */
    const lastDays = async (): Promise<void> => {
      const lot = await manager.post<LotDto>('/api/lots', {
        reagent: 'eosin-y-aqueous',
        number: 'QUILL-9',
        source: 'Quill Dyeworks (invented)',
        expiry: '2026-11-28',
        containers: [{ amount: { value: 500, unit: 'mL' } }, { amount: { value: 500, unit: 'mL' } }],
      });
      expect(lot.status).toBe(201);
      const bottle = lot.body.containers[0]?.id ?? '';
      const thrown = await manager.post(`/api/containers/${bottle}/state`, { state: 'discarded', reason: 'cloudy' });
      expect(thrown.status).toBeLessThan(300);
      const round = { body: 'Headland Scheme (invented)', round: 'R-3', protocolId: 'ao-fresh', dueDay: '2026-12-20' };
      expect((await manager.post('/api/assessment-rounds', { ...round, samples: 3 })).status).toBe(201);
      const deviation = { subject: 'described', title: 'Labels came off', what: 'In the clearing bath.' };
      const opened = await manager.post('/api/deviations', { ...deviation, effect: 'result late or repeated' });
      expect(opened.status).toBe(201);
      const program = { laboratoryId: LABORATORY, personId: null, deviceId: null };
      await test.store.change(program, 'instrument.furnished', async (unit) => {
        const row = {
          code: 'TH-04',
          name: 'Thermometer',
          kind: 'thermometer',
          serial: null,
          calibrated: true,
        } as const;
        const { id: instrumentId } = await unit.insert(InstrumentRow, row);
        await unit.insert(InstrumentActRow, {
          instrumentId,
          kind: 'calibrated',
          at: unit.at,
          personId: null,
          passed: true,
          until: '2026-11-29T01:00:00.000Z',
          station: null,
          fileId: null,
          note: 'ice point',
        });
        unit.about('instrument', instrumentId);
      });
      test.clock.forward(Date.parse(LAST_NIGHT) - Date.parse(test.clock.now()));
      const worker = await test.as('technician');
      const bench = new Bench(test, worker, furnished, 'station-2');
      const id = await bench.start();
      await bench.play(id);
      const noted = await bench.event(id, 'noted', { text: 'read late' }, { stamp: { late: true } });
      await bench.must(id, 'corrected', {
        event: noted.body.event.id,
        at: instantOf(Date.parse(LAST_NIGHT) + 60_000),
        uncertaintyMs: 30_000,
        reason: 'the clock on the wall said so',
      });
    };
  });
});
