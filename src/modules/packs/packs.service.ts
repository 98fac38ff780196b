import { rm } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { Config } from '../../config.js';
import type { NewPackDto, PackDto, PackListDto, PackQueryDto } from '../../contract/packs.dto.js';
import { checkPeriod, type PackScope } from '../../core/pack/pack.js';
import { checkPeriod as checkGranted } from '../../core/people/review.js';
import type { Role } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import { endOfDay, instantOfLocal, localDay } from '../../core/time/zone.js';
import { zipPath } from '../../packs/folder.js';
import { actOnPack, askPack, type KnownPack, needPack, needState, packsBefore } from '../../store/packs/acts.js';
import { knownIds, needSpan } from '../../store/packs/plan.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { RevisionRow } from '../../store/rows/protocols.entity.js';
import { RunRow } from '../../store/rows/runs.entity.js';
import { LotRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';

const MAKE_PACKS: readonly Role[] = ['reviewer', 'director', 'manager', 'administrator'];
/** Of these, who may know the patient. */
const WITH_IDENTIFIERS: readonly Role[] = ['director'];

@Injectable()
export class PacksService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly config: Config,
  ) {}

  async ask(acting: Acting, body: NewPackDto, key?: string): Promise<PackDto> {
    needRole(acting, MAKE_PACKS, 'A pack is asked for by');
    if (body.identifiers === 'included') {
      needRole(acting, WITH_IDENTIFIERS, "Patients' identifiers go in only for");
    }
    const { zone } = await this.store.read(acting.laboratoryId, needLaboratory);
    const scope = this.scopeOf(body, zone);
    if (acting.roles.includes('reviewer')) keepToGrant(acting, scope);
    await this.store.read(acting.laboratoryId, async (view) => {
      await needSpan(view, scope);
      await needKnown(view, body);
    });
    const { id } = await this.store.change(
      acting,
      'pack.asked',
      async (unit) => ({ id: (await askPack(unit, scope)).id }),
      onceOf(key, body),
    );
    return this.one(acting, id);
  }

  async list(acting: Acting, { take, after }: PackQueryDto): Promise<PackListDto> {
    needRole(acting, MAKE_PACKS, 'Packs are listed for');
    const own = acting.roles.includes('reviewer') && acting.personId !== null ? { personId: acting.personId } : {};
    const { zone } = await this.store.read(acting.laboratoryId, needLaboratory);
    const found = await this.store.read(acting.laboratoryId, (view) => packsBefore(view, { take, after, ...own }));
    const today = localDay(this.clock.now(), zone);
    return { today, items: found.map(shown), next: found.length === take ? (found.at(-1)?.row.id ?? null) : null };
  }

  async one(acting: Acting, id: string): Promise<PackDto> {
    return shown(await this.store.read(acting.laboratoryId, (view) => seen(view, acting, id)));
  }

  async again(acting: Acting, id: string, key?: string): Promise<PackDto> {
    await this.store.change(
      acting,
      'pack.asked-again',
      async (unit) => {
        needState(await seen(unit, acting, id), ['failed'], 'is made again');
        await actOnPack(unit, id, 'again');
      },
      onceOf(key, { id }),
    );
    return this.one(acting, id);
  }

  async end(acting: Acting, id: string, key?: string): Promise<PackDto> {
    await this.store.change(
      acting,
      'pack.ended',
      async (unit) => {
        const pack = await seen(unit, acting, id);
        needState(pack, ['waiting', 'working', 'failed', 'made'], 'is cancelled or removed');
        await actOnPack(unit, id, pack.state === 'made' ? 'removed' : 'cancelled');
      },
      onceOf(key, { id }),
    );
    await rm(zipPath(this.config.filesDir, id), { force: true });
    return this.one(acting, id);
  }

  /** Where the zip file of a made pack lies, and what it is called when it is saved. */
  async file(acting: Acting, id: string): Promise<{ folder: string; file: string; name: string }> {
    const pack = await this.store.read(acting.laboratoryId, (view) => seen(view, acting, id));
    needState(pack, ['made'], 'can be downloaded');
    if (pack.row.scope.identifiers === 'included') {
      needRole(acting, WITH_IDENTIFIERS, "A pack with patients' identifiers is for");
    }
    const { from, to } = pack.row.scope;
    const path = zipPath(this.config.filesDir, id);
    return { folder: dirname(path), file: basename(path), name: `evidence-${from}-to-${to}-${id.slice(-8)}.zip` };
  }

  gone(id: string): Refusal {
    return new Refusal(
      'unavailable',
      'file-gone',
      `The file of pack ${id} is no longer in the data folder; ask for the pack anew.`,
    );
  }

  private scopeOf({ from, to, identifiers, chain, shown: runs, ...only }: NewPackDto, zone: string): PackScope {
    checkPeriod(from, to, zone, this.clock.now());
    const { protocols, people, lots } = only;
    const since = instantOfLocal(`${from}T00:00`, zone);
    const until = endOfDay(to, zone);
    return {
      from,
      to,
      since,
      until,
      identifiers,
      chain,
      only: { protocols, people, lots, runs: only.runs },
      shown: runs,
    };
  }
}

/** A reviewer has what was granted: its period, and nothing that a pack cannot be kept to. */
function keepToGrant({ review }: Acting, { since, until, chain }: PackScope): void {
  checkGranted(review ?? null, { from: since, to: until });
  if (!review || review.protocols !== null || review.areas !== null) {
    throw new Refusal(
      'forbidden',
      'outside-review',
      'A pack holds all areas and protocols of its period, and you were granted a part of them; ask the laboratory to make the pack for you.',
    );
  }
  if (chain === 'period') return;
  const message = 'Your access is to a period; ask with the chain of the period.';
  throw new Refusal('forbidden', 'outside-review', message, [{ at: 'chain', message }]);
}

function needRole({ roles }: Acting, fitting: readonly Role[], what: string): void {
  if (roles.some((role) => fitting.includes(role))) return;
  throw new Refusal('forbidden', 'role-needed', `${what} people with one of the roles ${fitting.join(', ')}.`);
}

/** A reviewer sees the packs that they asked for, and no others. */
async function seen(view: View, acting: Acting, id: string): Promise<KnownPack> {
  needRole(acting, MAKE_PACKS, 'Packs are shown to');
  const pack = await needPack(view, id);
  if (acting.roles.includes('reviewer') && pack.row.personId !== acting.personId) {
    throw new Refusal('not-found', 'not-found', `There is no pack ${id} that you asked for.`);
  }
  return pack;
}

async function needKnown(view: View, { protocols, people, lots, runs, shown: reported }: NewPackDto): Promise<void> {
  const revisions = protocols.length === 0 ? [] : await view.all(RevisionRow);
  const asked: [string, readonly string[], Set<string>][] = [
    ['protocols', protocols, new Set(revisions.map(({ protocolId }) => protocolId))],
    ['people', people, await knownIds(view, PersonRow, people)],
    ['lots', lots, await knownIds(view, LotRow, lots)],
    ['runs', runs, await knownIds(view, RunRow, runs)],
    ['shown', reported, await knownIds(view, RunRow, reported)],
  ];
  const problems = asked.flatMap(([at, ids, known]) =>
    ids.flatMap((id) =>
      known.has(id) ? [] : [{ at, message: `"${id}" is not known here; take an id from its page.` }],
    ),
  );
  if (problems.length > 0) {
    throw new Refusal('invalid', 'unknown-ids', 'The pack names what is not in the record.', problems);
  }
}

function shown({ row, last, progress, state }: KnownPack): PackDto {
  const { id, at, personId, scope } = row;
  const { from, to, identifiers, chain, only, shown: runs } = scope;
  return {
    id,
    state,
    at,
    personId,
    from,
    to,
    identifiers,
    chain,
    ...only,
    shown: runs,
    part: progress?.part ?? null,
    done: progress?.done ?? 0,
    total: progress?.total ?? 0,
    endedAt: last === null || last.kind === 'again' ? null : last.at,
    manifest: last?.manifest ?? null,
    bytes: last?.bytes ?? null,
    message: last?.message ?? null,
  };
}
