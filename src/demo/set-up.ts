import { Api, type Send } from '../client.js';
import type { ProtocolSummaryDto, RevisionDto } from '../contract/protocols.dto.js';
import type { ContainerDto, LotDto, NewLotDto } from '../contract/stock.dto.js';
import { checkDigit } from '../core/gs1/check-digit.js';
import { makeLabel } from '../core/gs1/label.js';
import type { Reagent } from '../core/protocol/protocol.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { planControls } from './controls.js';
import {
  APPROVED,
  type ApprovedProtocol,
  DYE,
  LABORATORY,
  LOT_DETAILS,
  PASSWORD,
  PEOPLE,
  PRICES,
  SETTINGS,
  SIZES,
  SUPPLIERS,
  VERIFICATION,
} from './laboratory.js';
import { furnishLedger } from './ledger.js';
import { furnishPeople } from './people.js';
import { furnishPlaces } from './places.js';
import { furnishPreparations } from './preparations.js';
import { grantReview } from './review.js';
import { furnishStudies } from './studies.js';

const DAY_MS = 86_400_000;

/** The laboratory once it is set up: what runs can be done with. */
export interface DemoLaboratory {
  /** The approved revision of each protocol. */
  revisions: Record<ApprovedProtocol, RevisionDto>;
  /** Bottles of each reagent, the open one first. */
  bottles: Record<string, ContainerDto[]>;
}

/**
 * Sets the invented laboratory up through the API, as its people would: accounts, the director's figures and approvals,
 * and the stock that the approved protocols need. `token` is the one-time set-up token, `now` the server's time.
 */
export async function setUpLaboratory(send: Send, token: string, now: Instant): Promise<DemoLaboratory> {
  await addPeople(send, token, now);
  const director = await signIn(send, 'director');
  const revisions = await approveProtocols(director, now);
  const manager = await signIn(send, 'manager');
  const codes = Object.values(revisions).flatMap(({ content }) =>
    content.steps.flatMap(({ reagent }) => reagent ?? []),
  );
  const bottles = await stockUp(manager, new Set(codes), now);
  await furnishLedger(manager, bottles, now);
  await furnishPeople(director, manager, now);
  await furnishStudies(manager, bottles, now);
  await planControls(director, now);
  await furnishPlaces(manager, now);
  await furnishPreparations(manager, bottles, now);
  await director.signOut();
  await manager.signOut();
  return { revisions, bottles };
}

export function signIn(send: Send, who: keyof typeof PEOPLE): Promise<Api> {
  return Api.signIn(send, PEOPLE[who].login, PASSWORD);
}

async function addPeople(send: Send, token: string, now: Instant): Promise<void> {
  const { administrator, ...others } = PEOPLE;
  const { name, login } = administrator;
  await Api.open(send).post('/setup', { token, laboratory: LABORATORY, name, login, password: PASSWORD });
  const api = await signIn(send, 'administrator');
  for (const person of Object.values(others)) await api.post('/people', { ...person, password: PASSWORD });
  await grantReview(api, now);
  await api.signOut();
}

async function approveProtocols(director: Api, now: Instant): Promise<DemoLaboratory['revisions']> {
  const known = await director.get<ProtocolSummaryDto[]>('/protocols');
  const approved = {} as DemoLaboratory['revisions'];
  for (const id of APPROVED) {
    const shipped = known.find((protocol) => protocol.id === id)?.revisions[0];
    if (!shipped) throw new Error(`The demo needs the protocol ${id}, which protocols/ does not hold.`);
    const draft = await director.get<RevisionDto>(`/revisions/${shipped.id}`);
    const own = await director.post<RevisionDto>(`/revisions/${draft.id}/figures`, {
      figures: figuresOf(draft, id),
      note: 'Invented: set after the verification.',
    });
    approved[id] = await director.post<RevisionDto>(`/revisions/${own.id}/approve`, {
      effectiveFrom: localDay(now, LABORATORY.zone),
      verification: VERIFICATION[id],
      newAssessment: false,
      password: PASSWORD,
    });
  }
  return approved;
}

function figuresOf({ content, openProposals }: RevisionDto, id: ApprovedProtocol): object[] {
  const set = SETTINGS[id].map(({ step, at, value }) => ({
    path: ['steps', content.steps.findIndex((each) => each.id === step), ...at],
    value,
  }));
  const places = set.map(({ path }) => path.join());
  return [...set, ...openProposals.filter(({ path }) => !places.includes(path.join())).map(({ path }) => ({ path }))];
}

/** Receives, accepts and opens what the approved protocols use; of the dye a second lot waits for its acceptance. */
async function stockUp(manager: Api, codes: ReadonlySet<string>, now: Instant): Promise<DemoLaboratory['bottles']> {
  const reagents = (await manager.get<Reagent[]>('/reagents')).filter(
    ({ code, kind }) => codes.has(code) && kind !== 'water',
  );
  const bottles: DemoLaboratory['bottles'] = {};
  for (const [n, reagent] of reagents.entries()) {
    const lot = await manager.post<LotDto>('/lots', lotOf(reagent, { product: n, lot: n + 1 }, now));
    await manager.post(`/lots/${lot.id}/decisions`, {
      standing: 'accepted',
      reason: 'Invented: papers checked, test slide stained as expected.',
    });
    const [first, ...others] = lot.containers;
    if (!first) throw new Error(`lot ${lot.number} came without a bottle`);
    const opened = await manager.post<ContainerDto>(`/containers/${first.id}/state`, { state: 'opened' });
    bottles[reagent.code] = [opened, ...others];
    const waiting = { product: n, lot: reagents.length + 1 };
    if (reagent.code === DYE) await manager.post('/lots', lotOf(reagent, waiting, now));
  }
  return bottles;
}

/** A lot of two bottles, each with our own label and the maker's GS1 serial number. */
function lotOf({ code, kind }: Reagent, numbers: { product: number; lot: number }, now: Instant): NewLotDto {
  const [product, lot] = [numbers.product, numbers.lot].map((each) => String(each).padStart(2, '0'));
  // The prefix 952 is GS1's own for examples.
  const item = `09521234000${product}`;
  return {
    reagent: code,
    number: `TW-26-${lot}`,
    gtin: item + checkDigit(item),
    source: SUPPLIERS[kind] ?? SUPPLIERS.other,
    expiry: localDay(plusMs(now, 400 * DAY_MS), LABORATORY.zone).slice(0, 7),
    ...LOT_DETAILS[code],
    containers: [1, 2].map((bottle) => ({
      label: makeLabel('C', `TARN-${lot}${bottle}`),
      serial: `${lot}${bottle}`,
      size: SIZES[kind] ?? SIZES.other,
    })),
    priceCents: PRICES[kind] ?? PRICES.other,
  };
}
