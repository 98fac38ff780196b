import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Limit } from '../../core/lot/lot.js';
import type { Quantity } from '../../core/recipe/quantity.js';
import type { WrittenRecipe } from '../../core/recipe/recipe.js';
import type { ReadingTaken, WeighedLine } from '../../core/recipe/weighed.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { ContainerRow, LotRow } from './stock.entity.js';

/** A recipe as it stood when it was written or loaded. The laboratory's own latest of a code counts, then what shipped. */
@Entity('recipe')
@Index('recipe_code', ['laboratoryId', 'code'])
export class RecipeRow extends FactRow {
  @Column('text')
  code: string;

  @Column('simple-json')
  content: WrittenRecipe;

  /** Whether this laboratory wrote it, or the program shipped with it. */
  @Column('boolean')
  own: boolean;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;
}

/** How a lot was made here: by which recipe, how much, and what was really weighed and poured. */
@Entity('preparation')
@Index('preparation_lot', ['lotId'], { unique: true })
export class PreparationRow extends FactRow {
  @ForeignKey(() => LotRow, { name: 'preparation_of' })
  @Column('text')
  lotId: string;

  /** The recipe as it stood; null for what is made without one. */
  @ForeignKey(() => RecipeRow, { name: 'preparation_by' })
  @Column('text', { nullable: true })
  recipeId: string | null;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('simple-json')
  volume: Quantity;

  @Column('simple-json')
  lines: WeighedLine[];
}

/** A reading by which a preparation is accepted; of one kind the latest counts. */
@Entity('preparation_reading')
@Index('preparation_reading_lot', ['lotId'])
export class PreparationReadingRow extends FactRow {
  @ForeignKey(() => LotRow, { name: 'preparation_reading_of' })
  @Column('text')
  lotId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('simple-json')
  reading: ReadingTaken;
}

/** A bath in use: where it stands, and by what rule it is changed and filtered. */
@Entity('bath')
@Index('bath_container', ['containerId'], { unique: true })
export class BathRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'bath_is' })
  @Column('text')
  containerId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  /** The bench place where it stands. */
  @Column('text')
  station: string;

  /** The line of baths that it belongs to. */
  @Column('text')
  series: string;

  /** Place in that line, counted from 1. */
  @Column('integer')
  position: number;

  /** Slides that it may stain before it is changed; null when nothing limits them. */
  @Column('integer', { nullable: true })
  maxSlides: number | null;

  /** Days that it may stand; null when nothing but its components limits them. */
  @Column('integer', { nullable: true })
  maxDays: number | null;

  /** ISO 8601 duration after which it is filtered again; null when it need not be. */
  @Column('text', { nullable: true })
  filterEvery: string | null;

  /** Until when it counts as filtered from its making on. */
  @Column('text', { nullable: true })
  filteredUntil: Instant | null;
}

export type BathActKind = 'topped up' | 'filtered' | 'moved';

/** What was done to a bath; its end is told by the container's own state. */
@Entity('bath_act')
@Index('bath_act_container', ['containerId'])
export class BathActRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'bath_act_on' })
  @Column('text')
  containerId: string;

  @Column('text')
  kind: BathActKind;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  /** Of filtering: until when it lasts. */
  @Column('text', { nullable: true })
  until: Instant | null;

  /** Of topping up: the limits of what was added. */
  @Column('simple-json', { nullable: true })
  limits: Limit[] | null;

  /** Of moving: where it stands from then on. */
  @Column('text', { nullable: true })
  station: string | null;

  @Column('text', { nullable: true })
  series: string | null;

  @Column('integer', { nullable: true })
  position: number | null;

  @Column('text', { nullable: true })
  reason: string | null;
}

/** A step of a run that used a bath, with its slides; of one step in one run the latest row counts. */
@Entity('bath_use')
@Index('bath_use_container', ['containerId'])
@Index('bath_use_run', ['runId'])
export class BathUseRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'bath_use_of' })
  @Column('text')
  containerId: string;

  @Column('text')
  runId: string;

  /** Id of the step, with its performance counted from 1, such as 'haematoxylin 1'. */
  @Column('text')
  step: string;

  @Column('text')
  at: Instant;

  /** Patients' slides and controls; 0 once a correction took the step or the bath away. */
  @Column('integer')
  slides: number;
}
