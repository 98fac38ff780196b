import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { ContainerState, Limit, LotStanding } from '../../core/lot/lot.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A catalogue entry as it stood when loaded; the latest of a code counts. */
@Entity('reagent')
@Index('reagent_code', ['laboratoryId', 'code'])
export class ReagentRow extends FactRow {
  @Column('text')
  code: string;

  @Column('simple-json')
  content: Reagent;
}

/** One manufactured batch as received in one shipment, or one preparation made here. */
@Entity('lot')
@Index('lot_number', ['laboratoryId', 'number'])
@Index('lot_reagent', ['laboratoryId', 'reagentCode'])
export class LotRow extends FactRow {
  @Column('text')
  reagentCode: string;

  /** As printed on the label. */
  @Column('text')
  number: string;

  @Column('text', { nullable: true })
  gtin: string | null;

  @Column('text')
  origin: 'supplied' | 'prepared';

  /** Supplier of a supplied lot, or who prepared it. */
  @Column('text')
  source: string;

  @Column('text')
  receivedAt: Instant;

  /** Expiry as printed: '2027-03-31', '2027-03' or '2027-03-31T14:30'. */
  @Column('text', { nullable: true })
  expiry: string | null;

  /** ISO 8601 duration for which an opened container may be used. */
  @Column('text', { nullable: true })
  openedLife: string | null;

  /** The limits that hold from receipt or preparation, as instants reckoned once in the laboratory's zone. */
  @Column('simple-json')
  limits: Limit[];

  /** Strength as on the label. */
  @Column('text', { nullable: true })
  strength: string | null;

  /** Storage as on the label, such as '2 to 8 Cel, dark'. */
  @Column('text', { nullable: true })
  storage: string | null;
}

/** A decision on a lot: the standing it has from then on. */
@Entity('lot_act')
@Index('lot_act_lot', ['lotId'])
export class LotActRow extends FactRow {
  @ForeignKey(() => LotRow, { name: 'lot_act_of' })
  @Column('text')
  lotId: string;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('text')
  standing: LotStanding;

  @Column('text')
  reason: string;
}

/** One physical bottle, box or bath of a lot. */
@Entity('container')
@Index('container_label', ['laboratoryId', 'label'], { unique: true })
@Index('container_lot', ['lotId'])
export class ContainerRow extends FactRow {
  @ForeignKey(() => LotRow, { name: 'container_of' })
  @Column('text')
  lotId: string;

  /** Text of our own label on it. */
  @Column('text')
  label: string;

  /** The maker's serial number, when it carries one. */
  @Column('text', { nullable: true })
  serial: string | null;

  /** What it holds, such as '500 mL'. */
  @Column('text', { nullable: true })
  size: string | null;
}

/** A change of a container's state; opening carries the limit that its opened life sets. */
@Entity('container_act')
@Index('container_act_container', ['containerId'])
export class ContainerActRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'container_act_of' })
  @Column('text')
  containerId: string;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('text')
  state: ContainerState;

  /** End of the opened life, reckoned once in the laboratory's zone. */
  @Column('text', { nullable: true })
  until: Instant | null;

  @Column('text', { nullable: true })
  reason: string | null;
}
