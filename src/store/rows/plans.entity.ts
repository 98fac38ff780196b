import { Column, Entity, Index } from 'typeorm';
import type { BenchRun } from '../../core/plan/bench-plan.js';
import type { HandsAtBench, Place } from '../../core/plan/from-bench.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A run that a plan was asked for. */
export interface AskedRun {
  id: string;
  revisionId: string;
  slides: number;
  earliestAt?: Instant;
  deadlineAt?: Instant;
  priority?: number;
}

/** A plan of the bench that was accepted; the last one counts. */
@Entity('bench_plan')
@Index('bench_plan_at', ['laboratoryId', 'seq'])
export class BenchPlanRow extends FactRow {
  @Column('simple-json')
  wanted: AskedRun[];

  @Column('simple-json')
  hands: HandsAtBench[];

  @Column('simple-json')
  places: Place[];

  @Column('simple-json')
  runs: BenchRun[];

  /** The instant that it was computed for; everything new starts after it. */
  @Column('text')
  plannedAt: Instant;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}
