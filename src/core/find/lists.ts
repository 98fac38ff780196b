import type { ContainerCondition } from '../lot/receive.js';
import type { LotStanding } from '../lot/lot.js';

/**
 * Whether a text that somebody typed stands in what is known of a thing, whatever its case and the blanks around it; no text
 * stands in everything. Common practice, no source. `holdsText(' tarn ', ['Eosin Y', 'TARN-7'])` is true.
 */
export function holdsText(wanted: string, known: readonly string[]): boolean {
  return known.join(' ').toLowerCase().includes(wanted.trim().toLowerCase());
}

/** What a list of lots may be narrowed to. */
export const LOT_SHOWS = ['all', 'deciding', 'usable', 'over'] as const;
export type LotShow = (typeof LOT_SHOWS)[number];

interface ListedLot {
  reagent: string;
  number: string;
  source: string;
  standing: LotStanding;
  containers: readonly { state: ContainerCondition; usable: boolean }[];
}

/**
 * Whether a lot belongs to a narrowed list: `deciding` are those that nobody has accepted yet, `usable` those of which a
 * container may be used now, `over` those of which none may be used and none is unopened. `name` is its reagent's.
 * `lotShown(lot, 'Eosin Y', { find: 'tarn', show: 'usable' })` is true of a usable lot from Tarn.
 */
export function lotShown(lot: ListedLot, name: string, { find, show }: { find: string; show: LotShow }): boolean {
  return holdsText(find, [name, lot.reagent, lot.number, lot.source]) && standsIn(lot, show);
}

function standsIn({ standing, containers }: ListedLot, show: LotShow): boolean {
  switch (show) {
    case 'all':
      return true;
    case 'deciding':
      return standing === 'quarantined';
    case 'usable':
      return containers.some(({ usable }) => usable);
    case 'over':
      return !containers.some(({ state, usable }) => usable || state === 'unopened');
  }
}

/** What is known of an order by its line in a list: number, supplier and where it stands. */
export function orderTexts(order: { number: string; supplierName: string; state: string }): string[] {
  return [order.number, order.supplierName, order.state];
}

/** What is known of a person by the line in a list: name, sign-in name and roles. */
export function personTexts(person: { name: string; login: string; roles: readonly string[] }): string[] {
  return [person.name, person.login, ...person.roles];
}

/** What the shelf may be narrowed to. */
export const SHELF_SHOWS = ['all', 'over', 'undated', 'counts', 'unpriced'] as const;
export type ShelfShow = (typeof SHELF_SHOWS)[number];

interface ShelvedContainer {
  lotNumber: string;
  over: boolean;
  undated: boolean;
  countDue: boolean;
  valueCents: number | null;
}

const SHOWN_AS: Record<ShelfShow, (container: ShelvedContainer) => boolean> = {
  all: () => true,
  over: ({ over }) => over,
  undated: ({ undated }) => undated,
  counts: ({ countDue }) => countDue,
  unpriced: ({ valueCents }) => valueCents === null,
};

/**
 * The containers of a reagent that a narrowed shelf shows: those past their end, without a date, to be counted, or without a
 * price; none when neither its name nor a lot number holds the text.
 * `onShelf(eosin, { find: 'tarn', show: 'over' })` are its containers past their end.
 */
export function onShelf<C extends ShelvedContainer>(
  { name, reagent, containers }: { name: string; reagent: string; containers: readonly C[] },
  { find, show }: { find: string; show: ShelfShow },
): C[] {
  const numbers = containers.map(({ lotNumber }) => lotNumber);
  return holdsText(find, [name, reagent, ...numbers]) ? containers.filter(SHOWN_AS[show]) : [];
}
