import type { Limit } from '../lot/lot.js';
import { usableUntil } from '../lot/expiry.js';
import type { Reagent } from '../protocol/protocol.js';
import { limitsText } from '../storage/place.js';
import { type Instant, plusMs } from '../time/instant.js';
import { localDay } from '../time/zone.js';
import { type HazardMark, hazardMark } from './hazards.js';

/** What a label says of a container. */
export interface LabelText {
  /** Text of our own label, for the code and for print. */
  code: string;
  identity: string;
  /** Lot, dates, storage, in the order in which they are read. */
  lines: string[];
  hazards: HazardMark | null;
}

/** What is known of a container that gets a label. */
export interface Labelled {
  label: string;
  size: string | null;
  openedAt: Instant | null;
  /** All limits that apply to it. */
  limits: readonly Limit[];
}

/** The lot that it is of. */
export interface LabelledLot {
  number: string;
  origin: 'supplied' | 'prepared';
  /** The supplier, or who prepared it. */
  source: string;
  receivedAt: Instant;
  expiry: string | null;
  strength: string | null;
  storage: string | null;
}

/**
 * What a container's label says: identity, strength, storage, dates of preparation or opening, and expiry (42 CFR 493.1252(c)),
 * and its hazards. A day is that of the laboratory's zone; what is not opened yet keeps a line to be written on.
 */
export function labelText(container: Labelled, lot: LabelledLot, reagent: Reagent, zone: string): LabelText {
  const { label, size, openedAt, limits } = container;
  const { number, origin, source, receivedAt, expiry, strength, storage } = lot;
  const until = usableUntil([...limits]);
  const prepared = origin === 'prepared';
  const lines = [
    [`Lot ${number}`, size].filter(Boolean).join(', '),
    prepared ? `Prepared ${localDay(receivedAt, zone)} by ${source}` : `Received ${localDay(receivedAt, zone)}`,
    ...(prepared || expiry === null ? [] : [`Expires ${expiry}`]),
    ...(prepared ? [] : [openedAt === null ? 'Opened ____________' : `Opened ${localDay(openedAt, zone)}`]),
    ...(until !== null && (prepared || openedAt !== null) ? [`Use ${untilText(until, zone)}`] : []),
    `Store ${storage ?? storageText(reagent)}`,
  ];
  const identity = strength === null || reagent.name.includes(strength) ? reagent.name : `${reagent.name}, ${strength}`;
  return { code: label, identity, lines, hazards: hazardMark(reagent.cautions ?? []) };
}

/** 'to the end of 2026-12-25', or 'before 2026-11-25 17:00' for a limit within a day. */
function untilText(until: Instant, zone: string): string {
  const before = localDay(plusMs(until, -1), zone);
  if (localDay(until, zone) !== before) return `to the end of ${before}`;
  const clock = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  return `before ${localDay(until, zone)} ${clock.format(Date.parse(until))}`;
}

function storageText({ storage }: Reagent): string {
  if (!storage) return 'as on the maker’s label';
  const { min = null, max = null, dark } = storage;
  const parts = [...(min === null && max === null ? [] : [limitsText({ min, max })]), ...(dark ? ['in the dark'] : [])];
  return parts.length > 0 ? parts.join(', ') : 'as on the maker’s label';
}
