import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  BathDto,
  BathNoteDto,
  BathRuleDto,
  ChangeBathDto,
  MoveBathDto,
  NewBathDto,
  TakenDto,
  TopUpDto,
} from '../../contract/preparations.dto.js';
import { bathDue } from '../../core/lot/bath.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { ChangeRule } from '../../core/protocol/protocol.js';
import { sumOf } from '../../core/recipe/weighed.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { endOfLife } from '../../core/time/zone.js';
import { addedLimits, makeLot, takeComponents, type Taking, usableComponents } from '../../store/acts/make-lot.js';
import { nextBatch } from '../../store/questions/batches.js';
import { type BathPlace, type KnownBath, knownBaths } from '../../store/questions/baths.js';
import { componentsOf, componentViews } from '../../store/questions/components.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { needReagent, reagentsOf } from '../../store/questions/reagents.js';
import { knownRevisions } from '../../store/questions/revisions.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { BathActRow, BathRow } from '../../store/rows/preparations.entity.js';
import { ContainerActRow, LotActRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';

/** By what rule a bath is changed and filtered. */
interface BathRule {
  maxSlides: number | null;
  maxDays: number | null;
  filterEvery: string | null;
}

@Injectable()
export class BathsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /** Baths in use, by their places. */
  list({ laboratoryId }: Acting, station: string | undefined): Promise<BathDto[]> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const baths = (await knownBaths(view)).filter(({ place }) => station === undefined || place.station === station);
      const shown: BathDto[] = [];
      for (const bath of baths) shown.push(await bathView(view, bath, now));
      return shown;
    });
  }

  bath({ laboratoryId }: Acting, id: string): Promise<BathDto> {
    return this.store.read(laboratoryId, async (view) => bathView(view, await needBath(view, id), this.clock.now()));
  }

  /** Rules for changing what is shared, of the newest revisions of the protocols that use a reagent. */
  rules({ laboratoryId }: Acting, reagent: string): Promise<BathRuleDto[]> {
    return this.store.read(laboratoryId, async (view) =>
      (await changeRules(view)).flatMap(({ protocol, title, reagents, change }) => {
        if (!reagents.includes(reagent)) return [];
        const { text, maxSlides, maxDays, filter, status } = change;
        return [
          {
            protocol,
            title,
            text,
            ...(maxSlides !== undefined && { maxSlides }),
            ...(maxDays !== undefined && { maxDays }),
            ...(filter !== undefined && { filter }),
            status,
          },
        ];
      }),
    );
  }

  /** Makes a bath up from containers; they are debited once, now. */
  async makeUp(acting: Acting, body: NewBathDto, key?: string): Promise<BathDto> {
    const id = await this.store.change(
      acting,
      'bath.made-up',
      async (unit) => {
        const { station, series, position } = body;
        const rule = await ruleOf(unit, body);
        const made = await makeUp(unit, body, { station, series, position }, rule);
        unit.about('container', made, { bath: body.reagent, station, series, position });
        return made;
      },
      onceOf(key, body),
    );
    return this.bath(acting, id);
  }

  /** Adds to a bath: it carries the lots of what was added, and their limits. */
  async topUp(acting: Acting, id: string, { fills }: TopUpDto, key?: string): Promise<BathDto> {
    await this.store.change(
      acting,
      'bath.topped-up',
      async (unit) => {
        const { lot } = await needBathInUse(unit, id);
        const takings = takingsOf(fills, lot.reagentCode);
        const added = await usableComponents(unit, takings);
        const waiting = added.filter(({ lot: { standing } }) => standing.at(-1)?.standing !== 'accepted');
        if (waiting.length > 0) {
          const named = waiting.map(({ label, lot: { number } }) => `${label} of lot ${number}`).join(', ');
          const message = `${named} is not accepted, and the whole bath would be no better; accept the lot first.`;
          throw new Refusal('conflict', 'component-not-accepted', message);
        }
        const before = new Set((await componentsOf(unit, lot.id)).map(({ containerId }) => containerId)).size;
        await takeComponents(unit, lot.id, takings);
        await act(unit, id, { kind: 'topped up', limits: addedLimits(before, added) });
        return null;
      },
      onceOf(key, { id, fills }),
    );
    return this.bath(acting, id);
  }

  async filter(acting: Acting, id: string, { reason }: BathNoteDto, key?: string): Promise<BathDto> {
    await this.store.change(
      acting,
      'bath.filtered',
      async (unit) => {
        const { row } = await needBathInUse(unit, id);
        await act(unit, id, { kind: 'filtered', until: await filteredUntil(unit, row.filterEvery), reason });
        return null;
      },
      onceOf(key, { id, reason }),
    );
    return this.bath(acting, id);
  }

  /** Moves a bath to another place of its line, as baths are rotated forward. */
  async move(acting: Acting, id: string, body: MoveBathDto, key?: string): Promise<BathDto> {
    await this.store.change(
      acting,
      'bath.moved',
      async (unit) => {
        const { place: from } = await needBathInUse(unit, id);
        const place = {
          station: body.station ?? from.station,
          series: body.series ?? from.series,
          position: body.position,
        };
        await needFree(unit, place, id);
        await act(unit, id, { kind: 'moved', ...place, reason: body.reason });
        return null;
      },
      onceOf(key, { id, ...body }),
    );
    return this.bath(acting, id);
  }

  /** Empties a bath and, when told of what, makes the next one up in its place by the same rule. */
  async change(acting: Acting, id: string, { reason, next }: ChangeBathDto, key?: string): Promise<BathDto> {
    const shown = await this.store.change(
      acting,
      'bath.changed',
      async (unit) => {
        const { row, lot, place } = await needBathInUse(unit, id);
        const { at, personId } = unit;
        await unit.insert(ContainerActRow, { containerId: id, at, personId, state: 'emptied', reason: reason ?? null });
        const made = next
          ? await makeUp(unit, { reagent: lot.reagentCode, ...next }, place, {
              maxSlides: row.maxSlides,
              maxDays: row.maxDays,
              filterEvery: row.filterEvery,
            })
          : null;
        unit.about('container', id, { changed: true, next: made });
        return made ?? id;
      },
      onceOf(key, { id, reason, next }),
    );
    return this.bath(acting, shown);
  }
}

async function makeUp(
  unit: Unit,
  { reagent, fills, label }: Pick<NewBathDto, 'reagent' | 'fills' | 'label'>,
  place: BathPlace,
  { maxSlides, maxDays, filterEvery }: BathRule,
): Promise<string> {
  const { code } = await needReagent(unit, reagent);
  await needFree(unit, place);
  const { lot, containers, components } = await makeLot(unit, {
    reagent: code,
    number: await nextBatch(unit, code),
    source: (await unit.need(PersonRow, { id: unit.personId }, 'person')).name,
    life: maxDays === null ? null : `P${maxDays}D`,
    takings: takingsOf(fills, code),
    containers: [
      {
        ...(label !== undefined && { label }),
        amount: sumOf(fills.map(({ quantity }) => ({ value: quantity.value, unit: quantity.unit }))),
        vessel: 'bath',
      },
    ],
  });
  const containerId = containers[0]?.id ?? '';
  const { at, personId } = unit;
  await unit.insert(BathRow, {
    containerId,
    at,
    personId,
    ...place,
    maxSlides,
    maxDays,
    filterEvery,
    filteredUntil: await filteredUntil(unit, filterEvery),
  });
  // Poured from accepted bottles it needs no acceptance of its own; anything else waits for one.
  if (components.every(({ lot: { standing } }) => standing.at(-1)?.standing === 'accepted')) {
    const reason = 'Filled from accepted lots only.';
    await unit.insert(LotActRow, { lotId: lot.id, at, personId, standing: 'accepted', reason });
  }
  return containerId;
}

async function act(
  unit: Unit,
  containerId: string,
  values: Pick<BathActRow, 'kind'> & {
    [K in 'until' | 'limits' | 'station' | 'series' | 'position' | 'reason']?: BathActRow[K] | undefined;
  },
): Promise<void> {
  const { at, personId } = unit;
  const given = Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));
  await unit.insert(BathActRow, { ...given, kind: values.kind, containerId, at, personId });
  unit.about('container', containerId, { bath: values.kind });
}

function takingsOf(fills: readonly TakenDto[], reagent: string): Taking[] {
  return fills.map(({ container, quantity }, n) => ({
    containerId: container,
    quantity: { value: quantity.value, unit: quantity.unit },
    wanted: [reagent],
    at: `fills.${n}`,
  }));
}

async function filteredUntil(unit: Unit, every: string | null): Promise<Instant | null> {
  if (every === null) return null;
  return endOfLife(unit.at, every, (await needLaboratory(unit)).zone);
}

/** The rule that is given, filled up from that of the protocol that is named. */
async function ruleOf(unit: Unit, { maxSlides, maxDays, filterEvery, protocol }: NewBathDto): Promise<BathRule> {
  const known = protocol === undefined ? undefined : await needRule(unit, protocol);
  return {
    maxSlides: maxSlides ?? known?.maxSlides ?? null,
    maxDays: maxDays ?? known?.maxDays ?? null,
    filterEvery: filterEvery ?? null,
  };
}

async function needRule(view: View, protocol: string): Promise<ChangeRule> {
  const found = (await changeRules(view)).find((each) => each.protocol === protocol);
  if (found) return found.change;
  const message = `The protocol "${protocol}" has no rule for changing what is shared; give maxSlides and maxDays.`;
  throw new Refusal('invalid', 'no-rule', message, [{ at: 'protocol', message }]);
}

async function changeRules(
  view: View,
): Promise<{ protocol: string; title: string; reagents: string[]; change: ChangeRule }[]> {
  // Of each protocol the newest revision counts, in force or not: the rule is a proposal that the person sees.
  const newest = new Map((await knownRevisions(view)).map(({ row }) => [row.protocolId, row]));
  return [...newest.values()].flatMap(({ protocolId, title, content }) =>
    content.change
      ? [
          {
            protocol: protocolId,
            title,
            reagents: content.steps.flatMap(({ reagent }) => reagent ?? []),
            change: content.change,
          },
        ]
      : [],
  );
}

async function needBath(view: View, id: string): Promise<KnownBath> {
  const [found] = await knownBaths(view, [id]);
  if (!found) throw new Refusal('not-found', 'not-found', `There is no bath ${id}.`);
  return found;
}

async function needBathInUse(view: View, id: string): Promise<KnownBath> {
  const bath = await needBath(view, id);
  if (bath.inUse) return bath;
  throw new Refusal(
    'conflict',
    'bath-gone',
    `${bath.container.label} was emptied; nothing can be done to it any more.`,
  );
}

/** Two baths cannot stand in one place. */
async function needFree(view: View, { station, series, position }: BathPlace, besides?: string): Promise<void> {
  const taken = (await knownBaths(view)).find(
    ({ row, place }) =>
      row.containerId !== besides &&
      place.station === station &&
      place.series === series &&
      place.position === position,
  );
  if (!taken) return;
  const message = `${taken.container.label} stands at place ${position} of ${series}, ${station}; change or move it first.`;
  throw new Refusal('conflict', 'place-taken', message, [{ at: 'position', message }]);
}

async function bathView(
  view: View,
  { row, acts, container, lot, facts, place }: KnownBath,
  now: Instant,
): Promise<BathDto> {
  const [reagent] = await reagentsOf(view, [lot.reagentCode]);
  const standing = bathDue(facts, now);
  if (!standing) throw new Error(`container ${container.id} is a bath without its facts`);
  const reasons = whyUnusable(facts, facts.reagent, { at: now, uncertaintyMs: 0 }, true).map(({ message }) => message);
  return {
    id: container.id,
    label: container.label,
    lotId: lot.id,
    lotNumber: lot.number,
    reagent: lot.reagentCode,
    name: reagent?.name ?? lot.reagentCode,
    ...place,
    madeAt: row.at,
    personId: row.personId,
    maxSlides: row.maxSlides,
    ...standing,
    filterEvery: row.filterEvery,
    usable: reasons.length === 0,
    reasons,
    components: await componentViews(view, lot.id),
    acts: acts.map(({ kind, at, personId, reason }) => ({ kind, at, personId, reason })),
  };
}
