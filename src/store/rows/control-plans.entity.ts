import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';
import type { Calendar } from '../../core/controls/calendar.js';
import type { ControlPlan } from '../../core/controls/planned.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A laboratory's own plan for the controls of a protocol, as it stood when saved. */
@Entity('control_plan')
@Index('control_plan_number', ['laboratoryId', 'protocolId', 'number'], { unique: true })
export class ControlPlanRow extends FactRow {
  @Column('text')
  protocolId: string;

  @Column('integer')
  number: number;

  @Column('simple-json')
  content: ControlPlan;

  /** SHA-256 over the RFC 8785 bytes of the content. */
  @Column('text')
  contentHash: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  /** Why it differs from the one before. */
  @Column('text')
  note: string;
}

/** The director's approval of a plan; it takes the place of the one before from its effective date on. */
@Entity('control_plan_act')
@Index('control_plan_act_plan', ['planId'])
export class ControlPlanActRow extends FactRow {
  @ForeignKey(() => ControlPlanRow, { name: 'control_plan_act_of' })
  @Column('text')
  planId: string;

  @Column('text')
  kind: 'approved';

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('text')
  effectiveFrom: Instant;

  @Column('text')
  reason: string;

  @Column('simple-json')
  signature: Signature;
}

/** When the laboratory is open; the latest counts. */
@Entity('laboratory_calendar')
export class CalendarRow extends FactRow {
  @Column('simple-json')
  content: Calendar;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/**
 * A control task written down ahead, so that people can be reminded of it and other calendars can hold it. Where it stands
 * is computed from facts when it is read; a lost row is written again under the same key.
 */
@Entity('control_task')
@Index('control_task_key', ['laboratoryId', 'key'], { unique: true })
@Index('control_task_due', ['laboratoryId', 'dueFrom'])
export class ControlTaskRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  key: string;

  @Column('text')
  protocolId: string;

  @Column('text')
  requirement: string;

  @Column('text')
  clock: string;

  @Column('text')
  clause: string;

  @Column('text', { nullable: true })
  about: string | null;

  @Column('text')
  period: string;

  @Column('text', { nullable: true })
  station: string | null;

  @Column('text')
  dueFrom: Instant;

  @Column('text', { nullable: true })
  dueUntil: Instant | null;

  @Column('text')
  writtenAt: Instant;
}
