import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { CurrentPlanDto, NewPlanDto, PlanAskedDto, PlanDraftDto } from '../../contract/plans.dto.js';
import { answerForBench, checkBenchRuns, runsOf } from '../../core/plan/bench-plan.js';
import { type Bench, MOST_RUNS, originOf } from '../../core/plan/from-bench.js';
import { Refusal } from '../../core/refusal.js';
import { epochMs, type Instant } from '../../core/time/instant.js';
import { planBench } from '../../jobs/plan-bench.js';
import { benchFor, currentPlan } from '../../store/questions/plans.js';
import { BenchPlanRow } from '../../store/rows/plans.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

/** A draft older than that is made again rather than accepted: its first start has gone by. */
const FRESH_MS = 10 * 60_000;

@Injectable()
export class PlansService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async draft({ laboratoryId }: Acting, body: PlanAskedDto): Promise<PlanDraftDto> {
    refuseSize(body);
    const plannedAt = this.clock.now();
    const bench = await this.store.read(laboratoryId, (view) => benchFor(view, body, plannedAt));
    const found = answerForBench(bench, await planBench(bench));
    if (found.answer !== 'plan') {
      return { ...found, plannedAt, runs: [], endsAt: null, boundAt: null, optimal: null };
    }
    return { ...found, plannedAt };
  }

  async accept(acting: Acting, body: NewPlanDto, key: string | undefined): Promise<CurrentPlanDto> {
    refuseSize(body);
    // A class instance carries its absent fields as undefined ones; what is kept is plain.
    const { wanted, hands, places, runs, plannedAt } = JSON.parse(JSON.stringify(body)) as NewPlanDto;
    await this.store.change(
      acting,
      'plan.accepted',
      async (unit) => {
        refuseAge(plannedAt, unit.at);
        const bench = await benchFor(unit, { wanted, hands, places }, plannedAt);
        refuseBroken(bench, runs);
        const origin = originOf(bench);
        const schedule = runs.map(({ id, startsAt, hands: who }) => ({
          run: id,
          startsSec: startsAt.map((at) => (epochMs(at) - origin) / 1000),
          hands: who,
        }));
        const { id } = await unit.insert(BenchPlanRow, {
          wanted,
          hands,
          places,
          runs: runsOf(bench, schedule),
          plannedAt,
          at: unit.at,
          personId: unit.personId,
        });
        unit.about('plan', id, { runs: wanted.length, going: bench.going.length, hands: hands.length });
        return null;
      },
      onceOf(key, body),
    );
    return this.current(acting);
  }

  async current({ laboratoryId }: Acting): Promise<CurrentPlanDto> {
    const found = await this.store.read(laboratoryId, (view) => currentPlan(view));
    if (!found) return { plan: null };
    const { row, person, started } = found;
    const { id, at, plannedAt, wanted, hands, places, runs } = row;
    const waiting = runs.flatMap(({ id: runId, title, startsAt, endsAt }) => {
      const asked = wanted.find((each) => each.id === runId);
      if (!asked) return [];
      const { revisionId, slides } = asked;
      return [{ id: runId, title, revisionId, slides, startsAt, endsAt, startedRunId: started.get(runId) ?? null }];
    });
    return { plan: { id, at, plannedAt, person, wanted, hands, places, runs, waiting } };
  }
}

/** Refused before a revision is read for each of them. */
function refuseSize({ wanted }: PlanAskedDto): void {
  if (wanted.length <= MOST_RUNS) return;
  throw new Refusal(
    'invalid',
    'not-plannable',
    `${wanted.length} runs at once; at most ${MOST_RUNS} are planned together, those that go already included. Plan the first ones now and the rest later.`,
  );
}

function refuseAge(plannedAt: Instant, now: Instant): void {
  const age = epochMs(now) - epochMs(plannedAt);
  if (age >= 0 && age <= FRESH_MS) return;
  throw new Refusal(
    'conflict',
    'draft-too-old',
    `The draft is of ${plannedAt}; one is accepted within ten minutes, while its first start can still be kept. Plan again.`,
  );
}

function refuseBroken(bench: Bench, runs: NewPlanDto['runs']): void {
  const violations = checkBenchRuns(bench, runs);
  const [first] = violations;
  if (!first) return;
  const what =
    first.kind === 'begun'
      ? 'Something has begun since the draft was made'
      : 'The plan cannot be followed as the bench stands';
  throw new Refusal(
    'conflict',
    'plan-broken',
    `${what}; plan again. First of ${violations.length}: ${first.message}.`,
    violations.map(({ run, step, message }) => ({ at: `runs.${run}${step === null ? '' : `.${step}`}`, message })),
  );
}
