import { beforeAll, expect, it } from '@jest/globals';
import type { CurrentPlanDto, PlanDraftDto } from '../../src/contract/plans.dto.js';
import { MOST_RUNS } from '../../src/core/plan/from-bench.js';
import { plusMs } from '../../src/core/time/instant.js';
import { type Client } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

type Refused = { code: string; detail: string };

describeOnEachDatabase('The plan of the bench', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let bench: Bench;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    bench = new Bench(test, technician, furnished);
  });

  const run = (id: string, limits: object = {}) => ({ id, revisionId: furnished.revisionId, slides: 1, ...limits });
  const asked = (wanted: object[], changes: object = {}) => ({
    wanted,
    hands: [{ name: 'Tansy', from: test.clock.now(), to: plusMs(test.clock.now(), 8 * 3_600_000) }],
    places: [],
    ...changes,
  });
  const draft = (body: object) => technician.post<PlanDraftDto & Refused>('/api/plans/drafts', body);
  const accept = (body: object) => technician.post<CurrentPlanDto & Refused>('/api/plans', body);
  const proposed = ({ runs, plannedAt }: PlanDraftDto) => ({
    plannedAt,
    runs: runs.map(({ id, moments }) => ({
      id,
      startsAt: moments.map(({ startsAt }) => startsAt),
      hands: moments.map(({ hands }) => hands),
    })),
  });
  const current = async () => (await technician.get<CurrentPlanDto>('/api/plans/current')).body.plan;

  it('refuses what cannot be planned, saying what would be right', async () => {
    const none = await draft(asked([run('a')], { hands: [] }));
    expect([none.status, none.body.code, none.body.detail]).toEqual([
      422,
      'not-plannable',
      expect.stringContaining('at least one person'),
    ]);
    const many = await draft(asked(Array.from({ length: 500 }, (_, n) => run(`${n}`))));
    expect([many.status, many.body.detail]).toEqual([422, expect.stringContaining(`at most ${MOST_RUNS}`)]);
    const unknown = await draft(asked([{ ...run('a'), revisionId: 'nowhere' }]));
    expect(unknown.status).toBe(404);
    const tight = await draft(asked([run('a', { deadlineAt: plusMs(test.clock.now(), 1000) })]));
    expect(tight.body).toMatchObject({ answer: 'none', says: expect.stringContaining('deadline'), runs: [] });
    expect(await current()).toBeNull();
  });

  it('is accepted as it was drafted, says what still waits, and moves nothing that has begun', async () => {
    const first = asked([run('a'), run('b')]);
    const { status, body } = await draft(first);
    expect([status, body.answer, body.runs.length]).toEqual([200, 'plan', 2]);
    const moments = body.runs
      .flatMap((each) => each.moments)
      .map(({ startsAt, handsOnSec }) => [Date.parse(startsAt), Date.parse(startsAt) + handsOnSec * 1000])
      .filter(([from, to]) => to! > from!)
      .sort(([a], [b]) => a! - b!);
    // One pair of hands: nothing begins before what came before is over.
    moments.forEach(([from], n) => expect(from).toBeGreaterThanOrEqual(moments[n - 1]?.[1] ?? 0));

    const good = { ...first, ...proposed(body) };
    const clash = await accept({ ...good, runs: good.runs.map((each) => ({ ...good.runs[0], id: each.id })) });
    expect([clash.status, clash.body.code]).toEqual([409, 'plan-broken']);
    const accepted = await accept(good);
    expect(accepted.status).toBe(201);
    expect(accepted.body.plan?.runs).toEqual(body.runs);

    test.clock.forward(1000);
    const runId = await bench.start();
    expect((await current())?.waiting.map(({ id, startedRunId }) => [id, startedRunId])).toEqual([
      [body.runs[0]?.id, runId],
      [body.runs[1]?.id, null],
    ]);

    const [step] = furnished.protocol.steps;
    await bench.must(runId, 'step-started', { step: step?.id });
    const begunAt = test.clock.now();
    test.clock.forward(2000);
    const again = asked([run('b')]);
    const second = await draft(again);
    const going = second.body.runs.find(({ id }) => id === runId);
    expect(going?.moments.map(({ begun }) => begun).filter(Boolean)).toEqual([true]);
    expect(going?.startsAt).toBe(begunAt);
    const moved = proposed(second.body);
    const late = moved.runs.map((each) =>
      each.id === runId ? { ...each, startsAt: each.startsAt.map((at) => plusMs(at, 60_000)) } : each,
    );
    const refused = await accept({ ...again, ...moved, runs: late });
    expect([refused.status, refused.body.code]).toEqual([409, 'plan-broken']);
    expect((await accept({ ...again, ...moved })).status).toBe(201);

    test.clock.forward(11 * 60_000);
    const old = await accept({ ...again, ...moved });
    expect([old.status, old.body.code]).toEqual([409, 'draft-too-old']);
    expect((await current())?.waiting.map(({ id }) => id)).toEqual(['b']);
  });
});
