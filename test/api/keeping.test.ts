import { beforeAll, expect, it } from '@jest/globals';
import type { KeepingDto } from '../../src/contract/keeping.dto.js';
import type { KeptCode } from '../../src/core/keeping/kinds.js';
import { type Client, PASSWORD, START } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

describeOnEachDatabase('Keeping', (fresh) => {
  onProgram(fresh);

  let director: Client;

  beforeAll(async () => {
    const bench = new Bench(test, await test.as('technician'), await furnish(test));
    await bench.play(await bench.start());
    await test.createPerson('isolde', ['director']);
    director = await test.signIn('isolde');
  });

  const ask = (path: string, body: object) =>
    director.post<KeepingDto & { code: string }>(`/api/keeping${path}`, {
      reason: 'As our insurer asks.',
      password: PASSWORD,
      ...body,
    });
  const kept = async (kind: KeptCode) => {
    const { body } = await director.get<KeepingDto>('/api/keeping');
    return body.kinds.find((each) => each.kind === kind)!;
  };

  it('tells of each kind what there is, how old it is and when its years are over, and deletes nothing then', async () => {
    const bench = await kept('bench');
    // The run, its core and its controls, and its events.
    expect(bench).toMatchObject({ years: 2, floorYears: 2, oldest: START, past: 0, held: false, signature: null });
    expect(bench.records).toBeGreaterThan(20);
    // The laboratory's zone is the Azores, an hour behind UTC in winter.
    expect(bench.oldestUntil).toBe('2028-11-26T01:00:00.000Z');
    expect(await kept('protocols')).toMatchObject({ past: null, oldestUntil: null });
    expect(await kept('rounds')).toMatchObject({ records: 0, oldest: null, past: 0 });
    test.clock.set('2028-11-26T02:00:00.000Z');
    director = await test.signIn('isolde');
    expect(await kept('bench')).toMatchObject({ past: bench.records, records: bench.records });
    expect(await kept('protocols')).toMatchObject({ past: null });
  });

  it('sets longer terms by signature, and never shorter ones than the law has', async () => {
    expect((await ask('/terms', { kind: 'results', years: 9 })).body.code).toBe('under-floor');
    expect((await ask('/terms', { kind: 'bench', years: 10, password: 'not hers' })).body.code).toBe('wrong-password');
    const { status } = await ask('/terms', { kind: 'bench', years: 10 });
    expect([status, await kept('bench')]).toMatchObject([
      201,
      { years: 10, past: 0, signature: { meaning: 'approval' } },
    ]);
    const manager = await test.as('manager');
    expect((await manager.post('/api/keeping/terms', {})).status).toBe(403);
    expect((await (await test.as('technician')).get('/api/keeping')).status).toBe(403);
  });

  it('holds by signature what a court may ask for, until a signature lifts it', async () => {
    expect((await ask('/holds', { from: '2026-12-01', to: '2026-11-30' })).body.code).toBe('bad-period');
    const { body } = await ask('/holds', { kinds: ['bench', 'results'], from: '2026-11-01', to: '2026-11-30' });
    const [hold] = body.holds;
    // It approves nothing for use.
    expect(hold?.signature.meaning).toBe('responsibility');
    expect(hold).toMatchObject({ from: '2026-11-01T01:00:00.000Z', to: '2026-12-01T01:00:00.000Z', lifted: null });
    expect([(await kept('bench')).held, (await kept('stock')).held]).toEqual([true, false]);
    expect((await ask('/terms', { kind: 'bench', years: 5 })).body.code).toBe('under-hold');
    const lift = () => ask(`/holds/${hold!.id}/end`, { reason: 'The case is closed.' });
    expect((await lift()).body.holds).toMatchObject([{ lifted: { reason: 'The case is closed.' } }]);
    expect((await lift()).body.code).toBe('lifted-already');
    expect((await ask('/terms', { kind: 'bench', years: 5 })).status).toBe(201);
  });
});
