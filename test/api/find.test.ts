import { beforeAll, expect, it } from '@jest/globals';
import type { FoundThingsDto } from '../../src/contract/find.dto.js';
import { makeLabel } from '../../src/core/gs1/label.js';
import { type Client } from '../support/app.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { connect, disconnect } from '../../src/store/data-source.js';
import { TEXTS } from '../../src/store/questions/find.js';
import { describeOnEachDatabase, freshPostgres } from '../support/databases.js';
import { describeWith } from '../support/needs.js';
import { onProgram, test } from '../support/stage.js';

describeOnEachDatabase('Finding', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let runId: string;
  let ofPatient: string;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    runId = await new Bench(test, technician, furnished).start();
    const { body } = await technician.post<{ id: string }>('/api/subjects', {
      kind: 'specimen',
      description: 'core, 50 % fat, breast',
      takenAt: test.clock.now(),
      irreplaceable: false,
      identifiers: [
        { kind: 'patient name', value: 'Quillan Testperson' },
        { kind: 'patient number', value: 'OQ-000-0117' },
      ],
    });
    ofPatient = body.id;
  });

  const find = async (text: string, client = technician): Promise<[string, string, string][]> => {
    const { status, body } = await client.post<FoundThingsDto>('/api/find', { text });
    expect(status).toBe(200);
    return body.items.map(({ kind, id, path }) => [kind, id, path]);
  };

  it('finds a specimen by part of its label, whatever its case, and leads to its run', async () => {
    expect(await find('qy-101')).toEqual([
      ['specimen', furnished.core, `/release/${runId}`],
      ['run', runId, `/release/${runId}`],
    ]);
    expect(await find(runId)).toEqual([['run', runId, `/release/${runId}`]]);
  });

  it('finds capitals beyond ASCII as they are written', async () => {
    const id = await test.createPerson('aerme', ['technician'], 'Ärme ÅNGSTRØM');
    expect(await find('Ärme ÅNGS')).toEqual([['person', id, '/people']]);
    expect((await technician.get<FoundThingsDto>(`/api/runs?find=${encodeURIComponent('Ä')}`)).body.items).toEqual([]);
  });

  it('finds the one thing that a scanned label names, and the lot that a maker’s code names', async () => {
    const scanned = makeLabel('S', 'QY-101');
    expect((await find(scanned)).map(([kind]) => kind)).toEqual(['specimen', 'run']);
    const manager = await test.as('manager');
    // GTIN 09521234543213 is GS1's own example range (952); (10) is the lot number: GS1 General Specifications, 3.4.1.
    const { body, status } = await manager.post<{ id: string }>('/api/lots', {
      reagent: 'saline',
      number: 'TARN-7',
      gtin: '09521234543213',
      source: 'Tidewater Reagents (invented)',
      expiry: '2027-11-30',
      containers: [{}],
    });
    expect(status).toBe(201);
    const lot = [['lot', body.id, `/stock/${body.id}`]];
    expect(await find('(01)09521234543213(17)271130(10)TARN-7')).toEqual(lot);
    expect(await find(']d2010952123454321310TARN-7')).toEqual(lot);
    expect(await find('9521234543213')).toEqual(lot);
    expect(await find('(01)09521234543213(10)TARN-8')).toEqual([]);
  });

  it('finds protocols, lots, bottles and people by their names', async () => {
    const kinds = async (text: string) => [...new Set((await find(text)).map(([kind]) => kind))];
    expect(await kinds('acridine orange, fresh tissue, single')).toEqual(['protocol']);
    expect(await kinds('QUILL-saline')).toEqual(['lot']);
    expect(await kinds('QY-00')).toEqual(['container']);
    expect(await kinds('technician')).toEqual(['person']);
  });

  it('takes signs of patterns as they are written', async () => {
    expect((await find('50 % fat')).map(([, id]) => id)).toEqual([ofPatient]);
    expect(await find('5_ %')).toEqual([]);
  });

  it('finds a patient’s specimens by the whole number, for those who may know patients, and tells no name', async () => {
    expect((await find('OQ-000-0117')).map(([, id]) => id)).toEqual([ofPatient]);
    expect(await find('OQ-000-011')).toEqual([]);
    expect(await find('Quillan')).toEqual([]);
    expect(await find('OQ-000-0117', await test.as('administrator'))).toEqual([]);
  });

  it('refuses empty text, and finds nothing for blanks', async () => {
    expect((await technician.post('/api/find', { text: '' })).status).toBe(422);
    expect(await find('   ')).toEqual([]);
  });

  it('is closed to a reviewer, who asks the record where looks are kept', async () => {
    const reviewer = await test.as('reviewer');
    expect((await reviewer.post('/api/find', { text: 'QY' })).status).toBe(403);
  });
});

describeWith('postgres', 'Finding on PostgreSQL', () => {
  it('reads an index of letters rather than every text', async () => {
    const database = await freshPostgres();
    const connections = await connect(database.address);
    try {
      const { writer } = connections;
      const many = `(SELECT 'n' || n AS n FROM generate_series(1, 20000) AS them (n)) AS many`;
      await writer.query(`INSERT INTO subject (id, laboratory_id, seq, kind, label, description, irreplaceable)
        SELECT n, 'l', 1, 'specimen', n, 'core', false FROM ${many}`);
      await writer.query(`INSERT INTO lot (id, laboratory_id, seq, reagent_code, number, origin, source, received_at, limits)
        SELECT n, 'l', 1, 'eosin', n, 'supplied', 'nobody', '', '[]' FROM ${many}`);
      await writer.query(
        `INSERT INTO container (id, laboratory_id, seq, lot_id, label) SELECT n, 'l', 1, n, n FROM ${many}`,
      );
      for (const [table, texts] of Object.entries(TEXTS)) {
        await writer.query(`VACUUM ANALYZE ${table}`);
        const plan = (await writer.query(
          `EXPLAIN SELECT id FROM ${table} WHERE laboratory_id = 'l' AND LOWER(${texts}) LIKE LOWER($1) ESCAPE '\\'
            ORDER BY id DESC LIMIT 6`,
          ['%no such thing%'],
        )) as object[];
        expect(JSON.stringify(plan)).toContain(`${table}_letters`);
      }
    } finally {
      await disconnect(connections);
      await database.drop();
    }
  });
});
