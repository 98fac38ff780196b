import { beforeAll, expect, it } from '@jest/globals';
import { parse } from 'csv-parse/sync';
import type { MovementListDto } from '../../src/contract/ledger.dto.js';
import { type Client } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

describeOnEachDatabase('Lists as files', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let manager: Client;

  beforeAll(async () => {
    furnished = await furnish(test);
    [technician, manager] = [await test.as('technician'), await test.as('manager')];
    await new Bench(test, technician, furnished).start();
    await technician.post('/api/subjects', {
      kind: 'specimen',
      description: '=cmd|"/c calc"!A1, "core", ünlabelled',
      takenAt: test.clock.now(),
      irreplaceable: false,
      identifiers: [{ kind: 'patient number', value: 'OQ-000-0117' }],
    });
    await technician.post('/api/deviations', {
      subject: 'described',
      title: '-2+3',
      what: 'Tray stood in the sun.',
      effect: 'no result affected',
      correction: 'Moved it.',
    });
  });

  const rowsOf = async (path: string, client = technician): Promise<Record<string, string>[]> => {
    const { status, body, headers } = await client.get<string>(path);
    expect([path, status]).toEqual([path, 200]);
    expect(headers.get('content-type')).toBe('text/csv; charset=utf-8');
    // RFC 4180, section 2: lines end with CRLF, each record has as many fields as the heading.
    return parse(body, { columns: true, bom: true, record_delimiter: '\r\n' });
  };

  it('are read by whoever may read the list, and by nobody else', async () => {
    for (const list of [
      'runs',
      'lots',
      'subjects',
      'deviations',
      'notices',
      'control-results',
      'control-failures',
      'orders',
      'recalls',
      'lookbacks',
      'studies',
      'instruments',
      'assessment-rounds',
      'protocols',
    ]) {
      await rowsOf(`/api/${list}/list.csv`);
      expect((await test.nobody.get(`/api/${list}/list.csv`)).status).toBe(401);
    }
    expect((await rowsOf('/api/people/list.csv', manager)).map(({ roles }) => roles)).toContain('technician');
    expect((await technician.get('/api/people/list.csv')).status).toBe(403);
    expect((await (await test.as('reviewer')).get('/api/lots/list.csv')).status).toBe(403);
  });

  it('hold what the list shows with the same narrowing', async () => {
    const protocols = await rowsOf('/api/protocols/list.csv');
    expect(protocols.find(({ id }) => id === 'ao-fresh')).toMatchObject({
      category: 'fluorescent',
      'revision in force': '100',
      'newest stands as': 'approved',
    });
    expect((await technician.get('/api/control-failures/list.csv?state=gone')).status).toBe(422);
    const lots = await rowsOf('/api/lots/list.csv');
    expect(lots).toHaveLength(Object.keys(furnished.containers).length);
    expect(lots[0]).toMatchObject({ standing: 'accepted', 'may be used': '1', received: expect.stringMatching(/Z$/) });
    expect((await rowsOf('/api/lots/list.csv?find=QUILL-SALINE')).map((lot) => lot['lot number'])).toEqual([
      'QUILL-saline',
    ]);
    expect(await rowsOf('/api/lots/list.csv?show=over')).toEqual([]);
    const [run, ...others] = await rowsOf('/api/runs/list.csv?find=qy-101');
    expect(others).toEqual([]);
    expect(run).toMatchObject({ protocol: furnished.protocol.title, 'on the bench': 'yes' });
    expect(await rowsOf('/api/runs/list.csv?find=qy-999')).toEqual([]);
    expect(await rowsOf('/api/deviations/list.csv?state=closed')).toEqual([]);
    expect((await rowsOf('/api/people/list.csv?find=manager', manager)).map(({ roles }) => roles)).toEqual(['manager']);
  });

  it('hold no formula and no patient', async () => {
    const { body } = await technician.get<string>('/api/subjects/list.csv');
    expect(body).not.toContain('OQ-000');
    const subjects = await rowsOf('/api/subjects/list.csv?find=%C3%BCnlabelled');
    // OWASP, CSV Injection: a cell that begins with =, +, -, @, a tab or a carriage return gets an apostrophe before it.
    expect(subjects.map(({ description }) => description)).toEqual(['\'=cmd|"/c calc"!A1, "core", ünlabelled']);
    expect((await rowsOf('/api/deviations/list.csv')).map(({ title }) => title)).toEqual(["'-2+3"]);
  });

  it('refuse what the list refuses, before a byte of the file', async () => {
    const refused = await technician.get<{ code: string }>('/api/deviations/list.csv?state=closed&overdue=true');
    expect([refused.status, refused.body.code]).toEqual([422, 'nothing-due']);
    expect((await technician.get('/api/lots/list.csv?show=gone')).status).toBe(422);
  });

  it('of the ledger begin anywhere, and say how much there is in all', async () => {
    await manager.post('/api/lots', {
      reagent: 'xylene',
      number: 'TARN-7',
      expiry: '2031-06',
      source: 'Tidewater Reagents (invented)',
      containers: [{ size: '500 mL' }, { size: '250 mL' }, { size: '100 mL' }],
    });
    const part = async (query: string) =>
      (await technician.get<MovementListDto>(`/api/ledger?reagent=xylene&${query}`)).body;
    const whole = await part('take=10');
    expect([whole.count, whole.items.length]).toEqual([3, 3]);
    const second = await part('take=1&skip=1');
    expect([second.count, second.items.map(({ id }) => id)]).toEqual([3, [whole.items[1]?.id]]);
    expect((await part('skip=3')).items).toEqual([]);
    expect((await part('kind=discarded')).count).toBe(0);
    expect((await rowsOf('/api/ledger.csv?reagent=xylene')).map(({ amount, unit }) => [amount, unit])).toEqual(
      whole.items.map(({ amount }) => [String(amount.value), 'mL']),
    );
  });
});
