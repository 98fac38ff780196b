import type { FigureStatus } from '../protocol/protocol.js';
import type { Quantity } from './quantity.js';

/** The file of recipes that the program ships with. */
export interface RecipeList {
  format: 'stainwright-recipes/1';
  recipes: WrittenRecipe[];
}

/** A recipe as a laboratory keeps it: what goes in, in which order, and how it is told that it came right. */
export interface WrittenRecipe {
  /** Lower-case words joined by hyphens; two recipes may lead to one reagent. */
  code: string;
  name: string;
  /** Code of the reagent that comes of it. */
  reagent: string;
  /** The volume that its amounts are given for. */
  makes: Quantity;
  /** As on the label, such as '0.6 mmol/L'. */
  strength?: string;
  /** In the order of work. */
  lines: WrittenLine[];
  /** The two forms of a buffer, whose masses are reckoned; they go in before the lines. */
  buffer?: BufferForms;
  /** What is done once everything is in, in order. */
  finish?: string[];
  /** What tells that it came right. */
  readings?: AcceptanceReading[];
  /** What can hurt somebody while it is made. */
  cautions?: string[];
  /** How long it keeps, as an ISO 8601 duration such as P3M. */
  life: { duration: string; status: FigureStatus };
  /** As on the label, such as '2 to 8 Cel, dark'. */
  storage?: string;
  /** By how many per cent a weighed or poured amount may differ without a reason; the usual when left out. */
  tolerance?: number;
  note?: string;
  /** How far its amounts can be trusted. */
  status: FigureStatus;
  /** Keys of sources.yaml. */
  sources: string[];
}

/** One thing that goes in. Its amount is stated, reckoned by strength, or the rest of the volume: one of the four. */
export interface WrittenLine {
  /** Code of the reagent; another recipe may make it. */
  takes: string;
  /** A mass, a volume, or a count such as 2 {tablet}, for the volume that the recipe makes. */
  amount?: Quantity;
  /** A weaker solution of a stock: how much of it is reckoned by C1 V1 = C2 V2. */
  dilute?: { from: Quantity; to: Quantity };
  /** The concentration that is to come of it: the mass is reckoned by the formula. */
  weigh?: Quantity;
  /** The mix is made up with it to the whole volume. */
  makeUpTo?: true;
  /** Formula of what stands in the bottle, water of hydration included. */
  formula?: string;
  /** Other forms of the substance, of which as many moles are weighed. */
  instead?: { takes: string; formula: string }[];
  /** The amount is a guide: it is added until the reading is right. */
  untilReading?: true;
  /** What to do with it, in words. */
  how?: string;
}

/** A buffer by its two forms (Henderson-Hasselbalch). */
export interface BufferForms {
  acid: { takes: string; formula: string };
  base: { takes: string; formula: string };
  pKa: number;
  /** Temperature for which the pKa is stated, and its change per degree; absent when it is that of use. */
  pKaAtCel?: number;
  pKaPerCel?: number;
  /** Temperature of use. */
  usedAtCel: number;
  pH: number;
  /** Concentration of both forms together. */
  total: Quantity;
}

/** A reading by which a preparation is accepted: a number within limits, or yes or no by a person's eye. */
export interface AcceptanceReading {
  /** Unique within the recipe. */
  id: string;
  /** What is looked at, such as 'pH at 25 Cel' or 'Colourless, no smell of decay'. */
  what: string;
  /** UCUM code of the number that is read; absent when a person says yes or no. */
  unit?: string;
  min?: number;
  max?: number;
  status: FigureStatus;
}

/** Per cent by which an amount may differ when its recipe says nothing: common practice, no source. */
export const USUAL_TOLERANCE = 2;
