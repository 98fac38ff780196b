import { beforeAll, expect, it } from '@jest/globals';
import type { JudgementDto, StoodRunDto, StoodRunListDto } from '../../src/contract/run-view.dto.js';
import { type Client, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

describeOnEachDatabase('Where runs stand', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let benches = 0;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    await test.createPerson('corvin', ['releaser'], 'Corvin Lanternquay');
  });

  const begun = async (): Promise<{ bench: Bench; id: string }> => {
    const bench = new Bench(test, technician, furnished, `station-${(benches += 1)}`);
    return { bench, id: await bench.start() };
  };
  const played = async (seconds: Record<string, number> = {}): Promise<string> => {
    const { bench, id } = await begun();
    await bench.play(id, seconds);
    return id;
  };
  const asked = async (query: string): Promise<StoodRunListDto> =>
    (await technician.get<StoodRunListDto>(`/api/runs/standings?${query}`)).body;
  const ids = (runs: readonly StoodRunDto[]): string[] => runs.map(({ id }) => id);

  it('is told of many at once, as the gate and the releases tell of each', async () => {
    const { id: open } = await begun();
    const held = await played({ dye: 200 });
    const clear = await played();
    const left = await played();
    const corvin = await test.signIn('corvin');
    const sent = { subjectId: furnished.core, point: 'adequacy', kind: 'adequacy', words: 'Adequate.' };
    expect((await corvin.post(`/api/runs/${left}/releases`, { ...sent, password: PASSWORD })).status).toBe(201);

    const { items, older, next } = await asked('take=30');
    expect([ids(items), older, next]).toEqual([[left, clear, held, open], [], null]);
    const first = items.map(({ subjects }) => subjects[0]?.points.find(({ point }) => point === 'adequacy'));
    expect(first.map((point) => [point?.standing, point?.heldBy])).toEqual([
      ['released', []],
      ['clear', []],
      ['held', ['step-long']],
      ['not reached', []],
    ]);
    for (const { id, subjects } of items) {
      const { body } = await technician.get<JudgementDto>(`/api/runs/${id}/judgement`);
      expect(
        subjects.map(({ subjectId, label, points }) => [subjectId, label, points.map(({ point }) => point)]),
      ).toEqual(
        body.subjects.map(({ subjectId, label, points }) => [subjectId, label, points.map(({ point }) => point)]),
      );
    }
  });

  it('comes in parts, the first with whatever older one is still on a bench', async () => {
    const { items: all } = await asked('take=30');
    const [newest, second] = all;
    const onBench = all.filter((run) => run.onBench && run.id !== newest?.id);
    expect(onBench.length).toBeGreaterThan(0);
    const first = await asked('take=1');
    expect([ids(first.items), ids(first.older), first.next]).toEqual([[newest?.id], ids(onBench), newest?.id]);
    expect(first.older.map(({ subjects }) => subjects)).toEqual(onBench.map(({ subjects }) => subjects));
    const then = await asked(`take=1&after=${first.next}`);
    expect([ids(then.items), then.older]).toEqual([[second?.id], []]);
    expect((await asked('take=1&find=station-1')).older).toEqual([]);
  });
});
