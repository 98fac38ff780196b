import { beforeAll, expect, it } from '@jest/globals';
import type { PoliciesDto, RuleDto } from '../../src/contract/policies.dto.js';
import type { ReleaseDto } from '../../src/contract/releases.dto.js';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import type { SubjectDto } from '../../src/contract/specimens.dto.js';
import { RULES } from '../../src/core/gate/rules.js';
import { judge } from '../../src/core/gate/judge.js';
import { factsOfRuns } from '../../src/store/questions/facts-of-runs.js';
import { lastSeq } from '../../src/store/questions/entries.js';
import { loadRun, runFacts } from '../../src/store/questions/runs.js';
import { verifyRecord } from '../../src/store/questions/verify.js';
import { BathRow } from '../../src/store/rows/preparations.entity.js';
import { ContainerRow } from '../../src/store/rows/stock.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
}

const DYE = 'acridine-orange-working';

describeOnEachDatabase('The laboratory’s policy for the gate', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let releaser: Client;
  let director: Client;
  let benches = 0;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    await test.createPerson('corvin', ['releaser'], 'Corvin Lanternquay');
    await test.createPerson('isolde', ['director'], 'Isolde Fathomgate');
    releaser = await test.signIn('corvin');
    director = await test.signIn('isolde');
  });

  /** A bedside run of these specimens in which something was noted late. */
  const played = async (...cores: string[]): Promise<string> => {
    const [core = furnished.core, ...others] = cores;
    const bench = new Bench(test, technician, { ...furnished, core }, `station-${(benches += 1)}`);
    const id = await bench.start([core, ...others].map((subjectId) => ({ subjectId, role: 'patient' })));
    await bench.play(id);
    await bench.event(id, 'noted', { text: 'entered after the phone call' }, { stamp: { late: true } });
    return id;
  };
  const findings = async (runId: string) =>
    (await technician.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body.subjects[0]?.points[0]?.findings ?? [];
  const weights = async (runId: string): Promise<string[]> =>
    (await findings(runId)).map(({ rule, weight }) => `${rule} ${weight}`);
  const sign = (changes: object = {}, by: Client = director) =>
    by.post<PoliciesDto & Refused>('/api/policies', {
      rules: [{ rule: 'entered-late', weight: 'stop', neverExcused: true }],
      effectiveFrom: test.clock.now().slice(0, 10),
      reason: 'Our procedure: the record is made at the time.',
      password: PASSWORD,
      ...changes,
    });
  const codeOf = async (answer: ReturnType<typeof sign>): Promise<[number, string]> => {
    const { status, body } = await answer;
    return [status, body.code];
  };
  const rule = async (code: string): Promise<RuleDto | undefined> =>
    (await technician.get<RuleDto[]>('/api/gate/rules')).body.find((each) => each.code === code);
  const specimen = async (body: object): Promise<string> => {
    const answer = await technician.post<SubjectDto>('/api/subjects', {
      kind: 'specimen',
      description: 'invented',
      irreplaceable: true,
      ...body,
    });
    if (answer.status !== 201) throw new Error(JSON.stringify(answer.body));
    return answer.body.id;
  };

  it('is read beside the rules as the program has them, each with the clauses that it serves', async () => {
    const { body } = await technician.get<RuleDto[]>('/api/gate/rules');
    expect(body.map(({ code }) => code)).toEqual(Object.keys(RULES));
    expect(body.find(({ code }) => code === 'stain-not-renewed')?.serves).toEqual([
      expect.objectContaining({ key: 'CLIA-38', citation: '42 CFR 493.1274(b)(3)', basis: 'read' }),
    ]);
    expect((await director.get<PoliciesDto>('/api/policies')).body).toEqual({ revisions: [] });
  });

  it('is signed by the director, and refused where it weakens a rule', async () => {
    expect(await codeOf(sign({}, technician))).toEqual([403, 'role-needed']);
    expect(await codeOf(sign({ password: 'not hers' }))).toEqual([403, 'wrong-password']);
    expect(await codeOf(sign({ rules: [] }))).toEqual([409, 'unchanged']);
    expect(await codeOf(sign({ effectiveFrom: '2026-11-01' }))).toEqual([422, 'past-date']);
    const weaker = await sign({ rules: [{ rule: 'past-expiry', weight: 'caution' }] });
    expect([weaker.status, weaker.body.code, weaker.body.detail]).toEqual([
      422,
      'faulty-policy',
      expect.stringContaining('can only make a rule stricter, never a caution of a stop'),
    ]);
    expect((await director.get<PoliciesDto>('/api/policies')).body.revisions).toEqual([]);
  });

  it('holds runs from its first instant on, leaves those before as they were, and verify finds each again', async () => {
    const before = await played();
    expect(await weights(before)).toEqual(['entered-late note']);
    const released = await releaser.post<ReleaseDto>(`/api/runs/${before}/releases`, {
      subjectId: furnished.core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'Adequate.',
      password: PASSWORD,
    });
    expect([released.status, released.body.verdict, released.body.rules]).toEqual([201, 'clear', '5']);

    test.clock.forward(1000);
    const { status, body } = await sign();
    expect([status, body.revisions[0]]).toEqual([
      201,
      expect.objectContaining({ number: 1, inForce: true, effectiveFrom: test.clock.now() }),
    ]);
    expect(await rule('entered-late')).toMatchObject({
      weight: 'note',
      counts: 'stop',
      excusable: false,
      tightened: true,
    });
    expect(await rule('step-late')).toBeUndefined();

    test.clock.forward(1000);
    const after = await played();
    expect([await weights(before), await weights(after)]).toEqual([['entered-late note'], ['entered-late stop']]);
    const refused = await releaser.post<Refused>(`/api/runs/${after}/releases`, {
      subjectId: furnished.core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'Adequate.',
      password: PASSWORD,
      exception: { reason: 'for once', secondLogin: 'isolde', secondPassword: PASSWORD },
    });
    expect([refused.status, refused.body.code]).toEqual([409, 'no-exception']);

    await test.store.read(LABORATORY, async (view) => {
      const { counts, faults } = verifyRecord(view);
      const told = [];
      for await (const fault of faults) told.push(fault);
      expect([told, counts.releases, counts.otherRules]).toEqual([[], 1, 0]);
      // Judged together they are judged as each alone.
      const seq = await lastSeq(view);
      const runs = [await loadRun(view, before, seq), await loadRun(view, after, seq)];
      const alone = await Promise.all(runs.map(async (each) => judge(await runFacts(view, each, seq))));
      expect((await factsOfRuns(view, runs, seq)).map(judge)).toEqual(alone);
    });
  });

  it('is eased again only by a revision that says so', async () => {
    const eased = { rules: [{ rule: 'entered-late', weight: 'caution' }] };
    expect(await codeOf(sign())).toEqual([409, 'unchanged']);
    expect(await codeOf(sign(eased))).toEqual([409, 'eases-unsaid']);
    expect(await codeOf(sign({ ...eased, eases: ['entered-late', 'past-expiry'] }))).toEqual([422, 'eases-nothing']);
    const { status, body } = await sign({ ...eased, eases: ['entered-late'] });
    expect([status, body.revisions.map(({ number, inForce, eases }) => [number, inForce, eases])]).toEqual([
      201,
      [
        [2, true, ['entered-late']],
        [1, false, []],
      ],
    ]);
    test.clock.forward(1000);
    expect(await weights(await played())).toEqual(['entered-late caution']);
  });

  // The protocol's limit of one patient for an aliquot of fresh dye.
  it('stands beside the rule of one aliquot for one patient, who is told apart by number', async () => {
    const of = (value: string) => specimen({ identifiers: [{ kind: 'patient number', value }] });
    const [first, second, other] = [await of('OQ-1'), await of('OQ-1'), await of('OQ-2')];
    const rules = async (...cores: string[]): Promise<string[]> =>
      (await findings(await played(...cores))).map((each) => each.rule).filter((code) => code.startsWith('aliquot'));
    expect([await rules(first, second), await rules(first, other), await rules(first, furnished.core)]).toEqual([
      [],
      ['aliquot-shared'],
      ['aliquot-undecided'],
    ]);
  });

  // 42 CFR 493.1274(b)(3): stains filtered or changed after a specimen with a high potential for cross-contamination.
  it('stands beside the rule that a stain is renewed after a contaminating specimen, its slides included', async () => {
    const bath = furnished.containers[DYE] ?? '';
    await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'bath.made-up',
      async (unit) => {
        const { lotId } = await unit.need(ContainerRow, { id: bath }, 'container');
        const made = await unit.insert(ContainerRow, {
          lotId,
          label: 'SW1:C:QY-9',
          serial: null,
          size: null,
          vessel: 'bath',
        });
        const at = unit.at;
        await unit.insert(BathRow, { containerId: made.id, at, personId: 'p', station: 'S', series: 'A', position: 1 });
        furnished = { ...furnished, containers: { ...furnished.containers, [DYE]: made.id } };
        unit.about('container', made.id);
      },
    );
    const dish = furnished.containers[DYE] ?? '';
    await technician.post(`/api/containers/${dish}/state`, { state: 'opened' });
    test.clock.forward(1000);
    const effusion = await specimen({ cytology: 'non-gynaecological, contaminating' });
    const { body: smear } = await technician.post<SubjectDto>('/api/subjects', {
      kind: 'slide',
      parentId: effusion,
      description: 'smear',
      irreplaceable: true,
    });
    const renewed = async (core: string): Promise<string[]> =>
      (await findings(await played(core))).map(({ id }) => id).filter((id) => id.startsWith('stain-not'));
    expect(await renewed(smear.id)).toEqual([]);
    expect(await renewed(furnished.core)).toEqual([`stain-not-renewed:${dish}`]);
    const filtered = await technician.post(`/api/baths/${dish}/filter`, { reason: 'after an effusion' });
    expect(filtered.status).toBe(201);
    test.clock.forward(1000);
    expect(await renewed(furnished.core)).toEqual([]);
  });
});
