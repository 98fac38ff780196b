import { createHmac, randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { stringify } from 'yaml';
import type { CheckpointPlaces } from '../config.js';
import { RULES_VERSION } from '../core/gate/rules.js';
import { FORMAT_TEXT } from '../core/pack/format.js';
import { indexPage } from '../core/pack/index-page.js';
import { type KindCount, type Manifest, manifestText, PACK_FORMAT } from '../core/pack/manifest.js';
import { manifestSeal } from '../core/record/manifest-seal.js';
import { isLimited } from '../core/pack/pack.js';
import { pemOf } from '../core/record/checkpoint.js';
import { canonicalText, sha256 } from '../core/record/record.js';
import { IDENTIFIER_KINDS } from '../core/specimen/subject.js';
import type { Instant } from '../core/time/instant.js';
import { lineOf, writeCheckpoint } from '../store/checkpoints/checkpoints.js';
import { publicKeysHere, signingKey } from '../store/checkpoints/keys.js';
import { runReportPdf } from '../reports/run-report.js';
import { FileFolder } from '../store/files/folder.js';
import { type Kind, kindsOf, sealedKind } from '../store/packs/kinds.js';
import {
  type Bounds,
  checkpointBefore,
  checkpointFrom,
  checkpointsIn,
  countRows,
  entryPages,
  hashBefore,
  needSpan,
  rowPages,
  type Span,
} from '../store/packs/plan.js';
import { csvLine } from '../store/packs/row-text.js';
import { devicesOf, picturesOf, revisionsTo, sealedPages, staffOf } from '../store/packs/shown.js';
import { standingIn } from '../store/packs/standing.js';
import { needLaboratory } from '../store/questions/laboratories.js';
import { runReport } from '../store/questions/run-report.js';
import { HeadRow } from '../store/rows/record.entity.js';
import type { PackRow } from '../store/rows/packs.entity.js';
import { PersonRow } from '../store/rows/people.entity.js';
import type { Store } from '../store/store.js';
import type { View } from '../store/view.js';
import type { OpenFile, Outlet } from './outlet.js';

/** What a pack is made with. */
export interface Making {
  store: Store;
  laboratoryId: string;
  pack: PackRow;
  outlet: Outlet;
  checkpoints: CheckpointPlaces;
  filesDir: string;
  now: () => Instant;
  /** Told how far it is, in rows; throws to make it stop. */
  told: (part: string, done: number, total: number) => Promise<void>;
}

/** What was settled before the first row was written; whoever goes on after an interruption keeps to it. */
interface Plan {
  period: Span;
  chain: Span & { before: string };
  head: { seq: number; hash: string };
  rows: Record<string, number>;
  total: number;
  /** Makes the pseudonyms; it goes with the folder in which the pack is made. */
  secret: string;
}

const ENDINGS: Record<string, string> = { 'image/png': 'png', 'image/jpeg': 'jpg', 'image/tiff': 'tif' };

const { name: PROGRAM, version: VERSION } = JSON.parse(
  readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
) as { name: string; version: string };

/** Writes every file of a pack to its outlet, and answers the SHA-256 of its manifest. */
export async function writePack(making: Making): Promise<string> {
  return making.store.read(making.laboratoryId, (view) => new Writing(making, view).write());
}

class Writing {
  private done = 0;
  private plan!: Plan;

  constructor(
    private readonly making: Making,
    private readonly view: View,
  ) {}

  async write(): Promise<string> {
    const { outlet } = this.making;
    this.plan = await outlet.part('plan', () => this.makePlan());
    const kinds: KindCount[] = [];
    for (const kind of this.kinds()) kinds.push(await this.writeKind(kind));
    await this.writeNames();
    if (this.scope.identifiers === 'masked') kinds.push(await this.writeMasked());
    const protocols = await outlet.part('protocols', (open) => this.writeProtocols(open));
    const reports = await this.writeReports();
    const { pictures, missing } = await outlet.part('pictures', (open) => this.writePictures(open));
    await this.writeChain();
    const described = { ...(await this.describe()), kinds, missing };
    const kept = await outlet.part('pages', async (open) => {
      await (await open('FORMAT.md')).write(FORMAT_TEXT);
      const standing = await standingIn(this.view, this.bounds);
      const known = new Map(this.kinds().map((kind) => [kind.name, kind]));
      const listed = kinds.map((kind) => {
        const { area, title } = known.get(kind.name) ?? { area: 'Runs', title: 'Sealed values, masked' };
        return { ...kind, area, title };
      });
      const page = indexPage(described, { kinds: listed, standing, protocols, pictures, reports });
      await (await open('index.html')).write(page);
      return described;
    });
    return this.seal(kept);
  }

  private get scope(): PackRow['scope'] {
    return this.making.pack.scope;
  }

  private get bounds(): Bounds {
    return { period: this.plan.period, only: this.scope.only };
  }

  private kinds(): Kind[] {
    const all = kindsOf(this.view);
    return this.scope.identifiers === 'included' ? [...all, sealedKind(this.view)] : all;
  }

  private async makePlan(): Promise<Plan> {
    const { view } = this;
    const { store, checkpoints, laboratoryId } = this.making;
    const period = await needSpan(view, this.scope);
    if (!(await checkpointFrom(view, period.last))) await writeCheckpoint(store, checkpoints, laboratoryId);
    const last = (await checkpointFrom(view, period.last))?.seq ?? period.last;
    const before = this.scope.chain === 'whole' ? null : await checkpointBefore(view, period.first);
    const first = (before?.seq ?? 0) + 1;
    const rows: Record<string, number> = {};
    const bounds = { period, only: this.scope.only };
    for (const kind of this.kinds()) rows[kind.name] = await countRows(view, kind, bounds);
    const head = await view.need(HeadRow, {}, 'end of the record');
    return {
      period,
      chain: { first, last, before: await hashBefore(view, first) },
      head: { seq: head.seq, hash: head.hash },
      rows,
      total: Object.values(rows).reduce((sum, n) => sum + n, last - first + 1),
      secret: randomBytes(32).toString('hex'),
    };
  }

  private async writeKind(kind: Kind): Promise<KindCount> {
    const { name, title, table } = kind;
    const whole = kind.within === null || !isLimited(this.scope.only);
    if (this.plan.rows[name] === 0) return { name, table: table.tableName, rows: 0, whole };
    const from = this.done;
    const count = await this.making.outlet.part(`data ${name}`, async (open): Promise<KindCount> => {
      const [json, csv] = [await open(`data/${name}.jsonl`), await open(`data/${name}.csv`)];
      let rows = 0;
      for await (const page of rowPages(this.view, kind, this.bounds)) {
        await json.write(page.jsonl);
        await csv.write(page.csv);
        rows += page.rows;
        await this.tell(title, from + rows);
      }
      return { name, table: table.tableName, rows, whole };
    });
    this.done = from + count.rows;
    return count;
  }

  /** Who acted, by name; these rows may change, so that the chain does not pin them. */
  private async writeNames(): Promise<void> {
    const people = (await staffOf(this.view)).map((row) => `${canonicalText(row)}\n`).join('');
    const devices = (await devicesOf(this.view)).map((row) => `${canonicalText(row)}\n`).join('');
    await this.making.outlet.part('names', async (open) => {
      await (await open('data/people.jsonl')).write(people);
      await (await open('data/devices.jsonl')).write(devices);
    });
  }

  /** Which values are sealed, with a pseudonym for each that tells whose a specimen is. */
  private writeMasked(): Promise<KindCount> {
    return this.making.outlet.part('data identifiers', async (open) => {
      const [json, csv] = [await open('data/identifiers.jsonl'), await open('data/identifiers.csv')];
      await csv.write(csvLine(['id', 'seq', 'ownerId', 'kind', 'pseudonym']));
      let rows = 0;
      for await (const page of sealedPages(this.view, this.bounds)) {
        let [lines, table] = ['', ''];
        for (const { id, seq, owner, kind, value } of page) {
          const pseudonym = value === null ? 'removed by law' : this.pseudonym(kind, value);
          lines += `${canonicalText({ id, seq, ownerId: owner, kind, pseudonym })}\n`;
          table += csvLine([id, String(seq), owner, kind, pseudonym ?? '']);
        }
        await json.write(lines);
        await csv.write(table);
        rows += page.length;
      }
      return { name: 'identifiers', table: null, rows, whole: !isLimited(this.scope.only) };
    });
  }

  /** Null for free words, which name nobody twice. */
  private pseudonym(kind: string, value: string): string | null {
    if (!(IDENTIFIER_KINDS as readonly string[]).includes(kind)) return null;
    const digest = createHmac('sha256', this.plan.secret).update(`${kind}\n${value}`).digest('hex');
    return `${kind.replaceAll(' ', '-')}-${digest.slice(0, 16)}`;
  }

  private async writeProtocols(open: OpenFile): Promise<string[]> {
    const names: string[] = [];
    for await (const { protocolId, number, content } of revisionsTo(this.view, this.plan.period.last)) {
      const name = `protocols/${protocolId}-${number}`;
      await (await open(`${name}.json`)).write(canonicalText(content));
      await (await open(`${name}.yaml`)).write(stringify(content));
      names.push(`${name}.yaml`);
    }
    return names;
  }

  /** The report of each run that was asked for, as it stands now. */
  private async writeReports(): Promise<string[]> {
    const { outlet, now } = this.making;
    const { shown, identifiers } = this.scope;
    const names: string[] = [];
    for (const id of shown) {
      const name = `pdf/run-${id}.pdf`;
      await outlet.part(name, async (open) => {
        const report = await runReport(this.view, id);
        await (await open(name)).write(await runReportPdf(report, { now: now(), identifiers }));
      });
      names.push(name);
      await this.tell('Reports of runs', this.done);
    }
    return names;
  }

  private async writePictures(open: OpenFile): Promise<{ pictures: string[]; missing: string[] }> {
    const folder = new FileFolder(this.making.filesDir);
    const [pictures, missing]: [string[], string[]] = [[], []];
    for (const file of await picturesOf(this.view, this.scope.shown, this.plan.period.last)) {
      const fault = await folder.faultOf(file);
      if (fault !== null) {
        missing.push(`The picture ${file.id} cannot be shown: ${fault}.`);
        continue;
      }
      const name = `pictures/${file.id}.${ENDINGS[file.mediaType] ?? 'bin'}`;
      const out = await open(name);
      const handle = await folder.open(file);
      for await (const chunk of handle.createReadStream()) await out.write(chunk as Uint8Array);
      pictures.push(name);
      await this.tell('Pictures', this.done);
    }
    return { pictures, missing };
  }

  private async writeChain(): Promise<void> {
    const { outlet, checkpoints } = this.making;
    const { chain } = this.plan;
    const from = this.done;
    this.done = await outlet.part('chain', async (open) => {
      const out = await open('chain/entries.jsonl');
      let rows = 0;
      for await (const page of entryPages(this.view, chain)) {
        await out.write(page.jsonl);
        rows += page.rows;
        await this.tell('Chain', from + rows);
      }
      return from + rows;
    });
    const signed = await checkpointsIn(this.view, chain);
    await outlet.part('checkpoints', async (open) => {
      await (await open('chain/checkpoints.jsonl')).write(signed.map(lineOf).join(''));
      await (await open('chain/public-keys.pem')).write(publicKeysHere(checkpoints).map(pemOf).join(''));
    });
  }

  private async describe(): Promise<Omit<Manifest, 'files' | 'kinds' | 'missing'>> {
    const { pack, now } = this.making;
    const { id, name, zone } = await needLaboratory(this.view);
    const asker = pack.personId === null ? null : await this.view.one(PersonRow, { id: pack.personId });
    const { period, chain, head } = this.plan;
    return {
      format: PACK_FORMAT,
      pack: pack.id,
      laboratory: { id, name, zone },
      program: { name: PROGRAM, version: VERSION, rules: RULES_VERSION },
      askedBy: asker?.name ?? null,
      askedAt: pack.at,
      madeAt: now(),
      scope: this.scope,
      period,
      chain: { ...chain, head },
    };
  }

  /** The manifest of all that was written, and its seal. */
  private seal(described: Omit<Manifest, 'files'>): Promise<string> {
    const { outlet, checkpoints, pack, now, laboratoryId } = this.making;
    const files = outlet.files.map(({ name, bytes, sha256: hash }) => ({ name, bytes, sha256: hash }));
    const text = manifestText({ ...described, files });
    const manifest = sha256(text);
    return outlet.part('seal', async (open) => {
      await (await open('manifest.json')).write(text);
      const sealed = { laboratory: laboratoryId, pack: pack.id, at: now(), manifest };
      await (await open('manifest.seal.json')).write(manifestSeal(sealed, signingKey(checkpoints)));
      return manifest;
    });
  }

  private tell(part: string, done: number): Promise<void> {
    return this.making.told(part, done, this.plan.total);
  }
}
