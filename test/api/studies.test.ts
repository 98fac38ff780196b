import { readFileSync } from 'node:fs';
import { beforeEach, expect, it } from '@jest/globals';
import type { StudyDto, StudyListDto } from '../../src/contract/studies.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { signatureOf } from '../../src/core/record/signature.js';
import type { RunPurpose } from '../../src/core/run/events.js';
import type { NumericResults, ScaleResults } from '../../src/core/study/acceptance.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { ReleaseRow, RunRow } from '../../src/store/rows/runs.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { LotRow } from '../../src/store/rows/stock.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

type Refused = { code: string; detail: string; problems?: { at: string; message: string }[] };

// Bland and Altman, Lancet 1986;i:307-310: first readings of peak flow by two meters; see the file for source and making.
const { cases } = JSON.parse(readFileSync(new URL('../vectors/lotcompare.json', import.meta.url), 'utf8')) as {
  cases: { id: string; x: number[]; y: number[]; expected: { differences: { bias: number; sd: number } } }[];
};
const pefr = cases.find(({ id }) => id === 'pefr')!;

const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };

describeOnEachDatabase('Studies', (fresh) => {
  onProgram(fresh, { each: true });

  let manager: Client;
  let old: LotRow;
  let lot: LotDto;

  beforeEach(async () => {
    manager = await test.as('manager');
    await furnish(test);
    old = (await test.store.read(LABORATORY, (view) => view.one(LotRow, { reagentCode: 'acridine-orange-working' })))!;
    lot = await received('QUILL-NEW');
  });

  const received = async (number: string, reagent = 'acridine-orange-working'): Promise<LotDto> => {
    const { status, body } = await manager.post<LotDto>('/api/lots', {
      reagent,
      number,
      source: 'Tidewater Reagents (invented)',
      expiry: '2027-06',
      containers: [{}],
    });
    if (status !== 201) throw new Error(JSON.stringify(body));
    return body;
  };
  const plan = (changes: object = {}) =>
    manager.post<StudyDto & Refused>('/api/studies', {
      lotId: lot.id,
      oldLotId: old.id,
      protocolId: 'ao-fresh',
      kind: 'qualitative',
      measurand: 'nuclei crisp',
      design: { pairs: 6, reason: 'Invented: as in the laboratory’s procedure.' },
      criteria: { agreement: 0.9 },
      ...changes,
    });
  const add = (id: string, pairs: object[], extra = {}) =>
    manager.post<StudyDto & Refused>(`/api/studies/${id}/pairs`, { pairs }, extra);
  const read = (from: number, to: number, [before, after]: [number, number]) =>
    Array.from({ length: to - from }, (_, i) => ({ material: `slide ${from + i}`, old: before, new: after }));
  const decide = (id: string, body: object = {}, client = manager) =>
    client.post<StudyDto & Refused>(`/api/studies/${id}/decision`, {
      standing: 'accepted',
      reason: 'As good as the old lot.',
      password: PASSWORD,
      ...body,
    });
  const lotNow = async () => (await manager.get<LotDto>(`/api/lots/${lot.id}`)).body;

  it('accept a lot by a signed decision, in one act with the lot’s standing and its evidence', async () => {
    const { status, body } = await plan();
    expect([status, body]).toMatchObject([201, { counted: 0, results: null, lot: { standing: 'quarantined' } }]);
    const { id } = body;
    await add(id, [...read(0, 3, [1, 1]), ...read(3, 6, [0, 0])]);
    const { body: full } = await manager.get<StudyDto>(`/api/studies/${id}`);
    // Clopper and Pearson for 6 of 6: lower limit 0.025^(1/6).
    const { agreement, interval, table, kappa } = full.results as ScaleResults;
    expect({ agreement, table, kappa: kappa.estimate }).toEqual({
      agreement: 1,
      kappa: 1,
      table: [
        [3, 0],
        [0, 3],
      ],
    });
    expect(interval[0]).toBeCloseTo(0.025 ** (1 / 6), 9);

    expect((await decide(id, { password: 'wrong password' })).body.code).toBe('wrong-password');
    const decided = await decide(id);
    expect([decided.status, decided.body]).toMatchObject([
      201,
      {
        lot: { standing: 'accepted' },
        decision: {
          standing: 'accepted',
          deviation: null,
          signature: { meaning: 'approval', name: expect.any(String) },
        },
      },
    ]);
    expect((await lotNow()).decisions.at(-1)).toMatchObject({
      standing: 'accepted',
      evidence: { kind: 'parallel test', studyId: id },
    });
    for (const answer of [await decide(id), await add(id, read(7, 8, [1, 1]))]) {
      expect([answer.status, answer.body.code]).toEqual([409, 'decided']);
    }
    expect((await manager.get<StudyListDto>(`/api/studies?lotId=${lot.id}`)).body.items).toHaveLength(1);
  });

  it('may be what a decision on their new lot rests on, and on no other', async () => {
    const { id } = (await plan()).body;
    const other = await received('QUILL-OTHER');
    const accept = async (lotId: string, studyId: string) => {
      const evidence = { kind: 'parallel test', studyId };
      const body = { standing: 'accepted', reason: 'Compared with the lot before.', evidence };
      const answer = await manager.post<LotDto & Refused>(`/api/lots/${lotId}/decisions`, body);
      return [answer.status, answer.body.code ?? answer.body.decisions.at(-1)?.evidence, answer.body.problems?.[0]?.at];
    };
    expect(await accept(lot.id, 'none')).toEqual([422, 'unknown-study', 'evidence.studyId']);
    for (const another of [other.id, old.id]) {
      expect(await accept(another, id)).toEqual([422, 'study-of-another', 'evidence.studyId']);
    }
    expect(await accept(lot.id, id)).toEqual([201, { kind: 'parallel test', studyId: id }, undefined]);
  });

  it('need a reason of their own with fewer pairs than planned or against a criterion', async () => {
    const { id } = (await plan()).body;
    await add(id, [...read(0, 3, [1, 1]), ...read(3, 5, [0, 1])]);
    const few = await decide(id);
    expect([few.status, few.body.code, few.body.detail]).toEqual([
      422,
      'deviation',
      expect.stringContaining('5 pairs count and 6 were planned'),
    ]);
    await add(id, read(5, 6, [0, 0]));
    const against = await decide(id);
    expect([against.body.code, against.body.detail]).toEqual(['deviation', expect.stringContaining('not met')]);
    expect((await lotNow()).standing).toBe('quarantined');
    const rejected = await decide(id, { standing: 'rejected', reason: 'Two of three negatives stained.' });
    expect(rejected.status).toBe(201);
    expect(await lotNow()).toMatchObject({ standing: 'rejected' });
  });

  it('leave a pair out with a reason, and take its material anew', async () => {
    const { id } = (await plan()).body;
    const { body } = await add(id, read(0, 4, [1, 1]));
    const twice = await add(id, read(3, 4, [1, 0]));
    expect([twice.status, twice.body.code, twice.body.problems?.[0]?.at]).toEqual([
      422,
      'material-twice',
      'pairs.0.material',
    ]);
    const pair = body.pairs[3]!;
    const out = await manager.post<StudyDto>(`/api/studies/${id}/pairs/${pair.id}/exclusion`, {
      reason: 'Slide dried.',
    });
    expect(out.body).toMatchObject({ counted: 3, pairs: [{}, {}, {}, { excluded: 'Slide dried.' }] });
    expect((await add(id, read(3, 4, [0, 0]))).body).toMatchObject({ counted: 4 });
  });

  it('of numbers show differences, lines and equivalence as published', async () => {
    const { id } = (
      await plan({
        kind: 'numeric',
        measurand: 'peak flow (Bland and Altman 1986)',
        unit: 'L/min',
        design: { pairs: 17, reason: 'As published.' },
        criteria: { low: -20, high: 20 },
      })
    ).body;
    const pairs = pefr.x.map((value, i) => ({ material: `subject ${i + 1}`, old: value, new: pefr.y[i] }));
    const { body } = await add(id, pairs);
    const { differences, equivalence, linearity, passingBablok } = body.results as NumericResults;
    expect(differences.bias).toBeCloseTo(pefr.expected.differences.bias, 7);
    expect(differences.sd).toBeCloseTo(pefr.expected.differences.sd, 7);
    // -2.1, SD 38.8 (Lancet 1986); the 90 % interval of the mean lies within 20.
    expect([differences.bias.toFixed(1), differences.sd.toFixed(1)]).toEqual(['-2.1', '38.8']);
    expect(equivalence.equivalent).toBe(body.results?.met);
    expect(passingBablok?.slope).toBeGreaterThan(0.7);
    expect(linearity?.deviates).toBe(false);
    expect(body.results?.remarks).toEqual([expect.stringContaining('at least 30 pairs')]);
  });

  it('are planned with a number of pairs that is reckoned, or refused with what is missing', async () => {
    // Clopper and Pearson: 29 of 29 show 90 % with 95 % confidence, 46 with one that disagrees.
    const size = async (body: object) =>
      (await manager.post<{ pairs: number } & Refused>('/api/studies/size', body)).body;
    expect(await size({ question: 'agreement', claim: 0.9, confidence: 0.95 })).toEqual({ pairs: 29 });
    expect(await size({ question: 'agreement', claim: 0.9, confidence: 0.95, disagreeing: 1 })).toEqual({ pairs: 46 });
    expect(await size({ question: 'equivalence', margin: 5, sd: 5, power: 0.9 })).toEqual({ pairs: 11 });
    expect(await size({ question: 'equivalence', margin: 5 })).toMatchObject({ code: 'no-goal' });
    const why = async (changes: object): Promise<[number, string, string | undefined]> => {
      const { status, body } = await plan(changes);
      return [status, body.code, body.problems?.[0]?.at];
    };
    expect(await why({ oldLotId: lot.id })).toEqual([422, 'same-lot', 'oldLotId']);
    expect(await why({ oldLotId: (await received('OTHER', 'nbf-10')).id })).toEqual([422, 'other-reagent', 'oldLotId']);
    expect(await why({ protocolId: 'none' })).toEqual([422, 'unknown-protocol', 'protocolId']);
    expect(await why({ design: { reason: 'none' } })).toEqual([422, 'no-pairs', 'design.pairs']);
    expect(await why({ criteria: { low: -1, high: 1 } })).toEqual([422, 'other-kind', 'criteria.low']);
    expect(await why({ criteria: {} })).toEqual([422, 'bad-criteria', 'criteria.agreement']);
    expect(await why({ categories: ['0', '1', '2'] })).toEqual([422, 'bad-categories', 'categories']);
    expect(await why({ kind: 'numeric', criteria: { low: -1, high: 1 } })).toEqual([422, 'no-unit', 'unit']);
    expect(await why({ kind: 'numeric', unit: 'furlong', criteria: { low: -1, high: 1 } })).toEqual([
      422,
      'bad-unit',
      'unit',
    ]);
    expect(await why({ kind: 'numeric', unit: '1', criteria: { low: 1, high: 2 } })).toEqual([
      422,
      'bad-criteria',
      'criteria.low',
    ]);
    const { id } = (await plan()).body;
    const pair = async (changes: object): Promise<[number, string, string | undefined]> => {
      const { status, body } = await add(id, [{ material: 'slide 1', old: 1, new: 1, ...changes }]);
      return [status, body.code, body.problems?.[0]?.at];
    };
    expect(await pair({ new: 2 })).toEqual([422, 'no-such-category', 'pairs.0.new']);
    expect(await pair({ new: 0.5 })).toEqual([422, 'no-such-category', 'pairs.0.new']);
    expect(await pair({ new: undefined })).toEqual([422, 'no-value', 'pairs.0.new']);
    expect(await pair({ oldRunId: 'none' })).toEqual([422, 'unknown-run', 'pairs.0.oldRunId']);
    expect((await decide(id)).body.code).toBe('too-few');
  });

  it('take runs for accepting a lot, and those for patients until a result is released', async () => {
    const { id } = (await plan()).body;
    const run = async (purpose: RunPurpose, released = false): Promise<string> =>
      test.store.change(PROGRAM, 'run.furnished', async (unit) => {
        const revision = await unit.one(RevisionRow, { protocolId: 'ao-fresh' });
        const [core] = await unit.all(SubjectRow, { kind: 'specimen' });
        const signer = (await unit.one(PersonRow, {}))!;
        const made = await unit.insert(RunRow, {
          revisionId: revision!.id,
          station: 'Ultrasound 1',
          purpose,
          startedAt: unit.at,
          personId: signer.id,
        });
        if (released) {
          await unit.insert(ReleaseRow, {
            runId: made.id,
            subjectId: core!.id,
            point: 'adequacy',
            kind: 'adequacy',
            verdict: 'clear',
            findings: [],
            judgedTo: 1,
            rules: '1',
            signature: signatureOf({ personId: signer.id, name: signer.name }, 'approval', {}, unit.at),
          });
        }
        unit.about('run', made.id);
        return made.id;
      });
    const named = async (newRunId: string, material: string): Promise<unknown[]> => {
      const { status, body } = await add(id, [{ material, old: 1, new: 1, newRunId }]);
      return [status, body.code, body.problems?.[0]?.at];
    };
    expect(await named(await run('acceptance'), 'slide 1')).toEqual([201, undefined, undefined]);
    expect(await named(await run('patients'), 'slide 2')).toEqual([201, undefined, undefined]);
    expect(await named(await run('training'), 'slide 3')).toEqual([422, 'other-purpose', 'pairs.0.newRunId']);
    expect(await named(await run('patients', true), 'slide 3')).toEqual([422, 'released', 'pairs.0.newRunId']);
    expect((await manager.get<StudyDto>(`/api/studies/${id}`)).body.counted).toBe(2);
  });

  it('take pairs once for one key', async () => {
    const { id } = (await plan()).body;
    const once = { headers: { 'idempotency-key': 'pair-1' } };
    await add(id, read(0, 1, [1, 1]), once);
    expect((await add(id, read(0, 1, [1, 1]), once)).body.counted).toBe(1);
  });
});
