import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { InstrumentAct, InstrumentActKind, InstrumentKind } from '../../core/instruments/instrument.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A timer, thermometer, pipette or other thing that measures or keeps a condition. */
@Entity('instrument')
@Index('instrument_code', ['laboratoryId', 'code'], { unique: true })
export class InstrumentRow extends FactRow {
  /** What stands on it, such as 'TH-04'. */
  @Column('text')
  code: string;

  @Column('text')
  name: string;

  @Column('text')
  kind: InstrumentKind;

  @Column('text', { nullable: true })
  serial: string | null;

  /** Whether its readings count only within a calibration. */
  @Column('boolean')
  calibrated: boolean;
}

@Entity('instrument_act')
@Index('instrument_act_instrument', ['instrumentId'])
export class InstrumentActRow extends FactRow implements InstrumentAct {
  @ForeignKey(() => InstrumentRow, { name: 'instrument_act_of' })
  @Column('text')
  instrumentId: string;

  @Column('text')
  kind: InstrumentActKind;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('boolean', { nullable: true })
  passed: boolean | null;

  @Column('text', { nullable: true })
  until: Instant | null;

  @Column('text', { nullable: true })
  station: string | null;

  /** The certificate kept with it. */
  @Column('text', { nullable: true })
  fileId: string | null;

  @Column('text')
  note: string;
}
