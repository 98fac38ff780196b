import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { LotDto, ScannedDto } from '../../contract/stock.dto.js';
import { LABEL_KINDS, type LabelReading, makeLabel, readPrinted } from '../../core/gs1/label.js';
import type { Gs1Contents } from '../../core/gs1/reading.js';
import { readScan } from '../../core/gs1/scan.js';
import { matchLot } from '../../core/lot/scanned.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import type { Instant } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { type KnownLot, knownLots } from '../../store/questions/lots.js';
import { reagentsOf } from '../../store/questions/reagents.js';
import { SubjectRow } from '../../store/rows/specimens.entity.js';
import { ContainerRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import type { Acting } from '../http/access.js';
import { containerView, lotReasons, lotView } from './views.js';

/** More shipments of one product than a laboratory has in use. */
const MANY = 200;

/** What it takes to answer one scan: what is stored, the laboratory's zone, and now. */
interface Asked {
  view: View;
  zone: string;
  now: Instant;
}

/** Tells what a scanned text names and whether it may be used now; changes nothing. */
@Injectable()
export class ScanService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  scan({ laboratoryId }: Acting, text: string): Promise<ScannedDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      const asked = { view, zone, now: this.clock.now() };
      const scan = readScan(text, localDay(asked.now, zone));
      switch (scan.type) {
        case 'unknown':
          return (await byPrint(asked, text)) ?? unknown(scan.message);
        case 'label':
          return byLabel(asked, scan.label);
        case 'gs1':
          return scan.reading.valid ? byCode(asked, scan.reading) : unknown(scan.reading.error.message);
      }
    });
  }
}

function unknown(message: string): ScannedDto {
  return { kind: 'unknown', message, warnings: [], needsConfirmation: false };
}

/** A label typed as pages print it; other texts may look like one, so that only a label that something carries counts. */
async function byPrint(asked: Asked, text: string): Promise<ScannedDto | null> {
  const label = readPrinted(text.trim());
  const answer = label && (await byLabel(asked, label));
  return answer?.kind === 'unknown' ? null : answer;
}

async function byLabel(asked: Asked, read: LabelReading): Promise<ScannedDto> {
  if (!read.valid) return unknown(read.error.message);
  const { view } = asked;
  const label = makeLabel(read.kind, read.id);
  const carries = LABEL_KINDS[read.kind];
  switch (read.kind) {
    case 'C':
    case 'P': {
      const container = await view.one(ContainerRow, { label });
      if (!container) break;
      return containerAnswer(asked, await lotOf(view, container.lotId), container.id);
    }
    case 'S':
    case 'L': {
      const subject = await view.one(SubjectRow, { label });
      if (!subject) break;
      const { laboratoryId: _own, seq: _recorded, ...shown } = subject;
      const message = `${label} is on ${subject.description}.`;
      return { kind: 'subject', message, warnings: [], needsConfirmation: false, subject: shown };
    }
    case 'B':
    case 'T':
    case 'F':
      return unknown(`${label} is the label of a ${carries}; scan a container, a specimen or a slide.`);
  }
  return unknown(`Nothing here carries ${label}; register the ${carries} first, or see whose label it is.`);
}

async function byCode(asked: Asked, contents: Gs1Contents): Promise<ScannedDto> {
  const { view, zone, now } = asked;
  const { gtin, lot: number, serial, expiry } = contents;
  const gs1 = {
    ...(gtin !== undefined && { gtin }),
    ...(number !== undefined && { lot: number }),
    ...(serial !== undefined && { serial }),
    ...(expiry !== undefined && { expiry }),
  };
  const ofProduct = gtin === undefined ? [] : await knownLots(view, { gtin }, { take: MANY });
  const ofNumber = number === undefined ? [] : await knownLots(view, { number }, { take: MANY });
  const known = [...new Map([...ofProduct, ...ofNumber].map((lot) => [lot.row.id, lot])).values()];
  const match = matchLot(
    contents,
    known.map(({ row }) => row),
    zone,
  );
  const warnings = [...contents.warnings, ...match.warnings];
  const whole = (rows: readonly { id: string }[]) => known.filter((lot) => rows.some(({ id }) => id === lot.row.id));

  // A serial number tells shipments of one lot apart.
  const onlyShipments = match.warnings.every(({ code }) => code === 'several-shipments');
  const named = whole(match.lot ? [match.lot] : onlyShipments && match.warnings.length > 0 ? match.candidates : []);
  const carriers = named.flatMap((lot) =>
    lot.containers.filter(({ row }) => serial !== undefined && row.serial === serial).map(({ row }) => ({ lot, row })),
  );
  const [carrier] = carriers;
  if (carrier && carriers.length === 1) {
    return { ...(await containerAnswer(asked, carrier.lot, carrier.row.id)), warnings: contents.warnings, gs1 };
  }
  const [lot] = match.lot ? named : [];
  if (lot) {
    const reagent = await reagentOf(view, lot);
    const reasons = lotReasons(lot, now);
    const message = told(`Lot ${lot.row.number} of ${reagent?.name ?? lot.row.reagentCode}`, reasons);
    const usable = reasons.length === 0;
    const found = { lot: lotView(lot, now), ...(reagent && { reagent }) };
    return { kind: 'lot', message, warnings, needsConfirmation: false, usable, reasons, ...found, gs1 };
  }
  const candidates: LotDto[] = whole(match.candidates).map((each) => lotView(each, now));
  const [product] = ofProduct;
  const reagent = product && (await reagentOf(view, product));
  const doubt = [...match.warnings, ...contents.warnings.filter(({ code }) => code.startsWith('GS1_SEPARATOR'))].at(0);
  return {
    kind: reagent ? 'reagent' : 'unknown',
    message: doubt?.message ?? notHere(reagent, number),
    warnings,
    needsConfirmation: doubt !== undefined,
    ...(candidates.length > 0 && { candidates }),
    ...(reagent && { reagent }),
    gs1,
  };
}

async function containerAnswer({ view, now }: Asked, lot: KnownLot, id: string): Promise<ScannedDto> {
  const known = lot.containers.find(({ row }) => row.id === id);
  if (!known) throw new Error(`container ${id} is not among those of its lot ${lot.row.id}`);
  const container = containerView(known, lot.unit, now);
  const reagent = await reagentOf(view, lot);
  const { usable, reasons } = container;
  return {
    kind: 'container',
    message: told(
      `${container.label} holds ${reagent?.name ?? lot.row.reagentCode}, lot ${lot.row.number}, and`,
      reasons,
    ),
    warnings: [],
    needsConfirmation: false,
    usable,
    reasons,
    container,
    lot: lotView(lot, now),
    ...(reagent && { reagent }),
  };
}

async function lotOf(view: View, id: string): Promise<KnownLot> {
  const [lot] = await knownLots(view, { id }, { take: 1 });
  if (!lot) throw new Error(`lot ${id} is gone from under its container`);
  return lot;
}

async function reagentOf(view: View, { row }: KnownLot): Promise<Reagent | undefined> {
  return (await reagentsOf(view, [row.reagentCode]))[0];
}

function told(what: string, reasons: readonly { message: string }[]): string {
  if (reasons.length === 0) return `${what} may be used now.`;
  return `${what} may not be used for patients now: ${reasons.map(({ message }) => message).join('; ')}.`;
}

function notHere(reagent: Reagent | undefined, number: string | undefined): string {
  const lot = number === undefined ? '' : ` Lot ${number} was not received here; receive it first.`;
  if (reagent)
    return `This is ${reagent.name}.${lot}${number === undefined ? ' The code names no lot; read lot and expiry from the print.' : ''}`;
  return `No product with this code was received here.${lot}`;
}
