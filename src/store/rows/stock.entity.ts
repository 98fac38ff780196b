import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { ContainerState, HoldKind, IntendedUse, Limit, LotEvidence, LotStanding } from '../../core/lot/lot.js';
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

  /** Who wrote it here; null for what the program ships with. */
  @Column('text', { nullable: true })
  personId: string | null;
}

/** One manufactured batch as received in one shipment, or one preparation made here. */
@Entity('lot')
@Index('lot_number', ['laboratoryId', 'number'])
@Index('lot_reagent', ['laboratoryId', 'reagentCode'])
@Index('lot_gtin', ['laboratoryId', 'gtin'])
@Index('lot_texts', ['laboratoryId', 'id', 'number'])
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

  /** True when the expiry is none that was printed but one that this laboratory set. */
  @Column('boolean', { nullable: true })
  expirySetHere: boolean | null;

  /** What the maker made it for, as printed; null when the print says nothing. */
  @Column('text', { nullable: true })
  intendedUse: IntendedUse | null;

  /** The kit that it is a part of, by the maker's name for it. */
  @Column('text', { nullable: true })
  kit: string | null;

  /** The lot number of the whole kit. */
  @Column('text', { nullable: true })
  kitLot: string | null;

  /** The supplier's product that it came as. */
  @Column('text', { nullable: true })
  productCode: string | null;

  /** The order that it came on. */
  @Column('text', { nullable: true })
  orderId: string | null;

  /** What one container cost, in hundredths of the laboratory's currency. */
  @Column('integer', { nullable: true })
  priceCents: number | null;
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

  /** What it rests on. */
  @Column('simple-json', { nullable: true })
  evidence: LotEvidence | null;
}

/** One physical bottle, box or bath of a lot. */
@Entity('container')
@Index('container_label', ['laboratoryId', 'label'], { unique: true })
@Index('container_lot', ['lotId'])
@Index('container_texts', ['laboratoryId', 'id', 'label'])
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

  /** What it holds as printed, such as '500 mL'. */
  @Column('text', { nullable: true })
  size: string | null;

  /** What it held when it came, in millionths of the reagent's declared unit; null when nobody said. */
  @Column('double precision', { nullable: true })
  micro: number | null;

  /** A bath is debited once, when it is made up, and ages by slides as well; null is a bottle or a box. */
  @Column('text', { nullable: true })
  vessel: 'bath' | null;
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

/** A container's part in what was made here: a preparation, or a bath and what topped it up later. */
@Entity('component')
@Index('component_lot', ['lotId'])
@Index('component_container', ['containerId'])
export class ComponentRow extends FactRow {
  /** The lot that was made. */
  @ForeignKey(() => LotRow, { name: 'component_of' })
  @Column('text')
  lotId: string;

  /** The container that was taken from. */
  @ForeignKey(() => ContainerRow, { name: 'component_from' })
  @Column('text')
  containerId: string;

  @Column('text')
  at: Instant;

  /** How much of it, in millionths of the declared unit of what it holds; null when nobody said. */
  @Column('double precision', { nullable: true })
  micro: number | null;
}

/** Something that keeps a container from being used until a person decides. */
@Entity('hold')
@Index('hold_container', ['containerId'])
export class HoldRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'hold_on' })
  @Column('text')
  containerId: string;

  /** From when what was in it is in doubt. */
  @Column('text')
  at: Instant;

  /** What happened, such as an excursion of its storage place. */
  @Column('text')
  kind: HoldKind;

  /** Id of what it came of, such as the excursion. */
  @Column('text', { nullable: true })
  causeId: string | null;

  @Column('text')
  reason: string;
}

/** The decision on a hold: it may be used after all, or not. */
@Entity('hold_end')
@Index('hold_end_hold', ['holdId'])
export class HoldEndRow extends FactRow {
  @ForeignKey(() => HoldRow, { name: 'hold_end_of' })
  @Column('text')
  holdId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('boolean')
  usable: boolean;

  @Column('text')
  reason: string;
}
