import { fileURLToPath } from 'node:url';
import { Injectable, type OnModuleInit } from '@nestjs/common';
import { Config } from '../../config.js';
import type { Source } from '../../core/protocol/catalogue.js';
import { contentHash } from '../../core/protocol/content.js';
import type { Protocol, Reagent } from '../../core/protocol/protocol.js';
import type { WrittenRecipe } from '../../core/recipe/recipe.js';
import { Refusal } from '../../core/refusal.js';
import { canonicalText } from '../../core/record/record.js';
import { catalogue, ownReagents } from '../../store/questions/reagents.js';
import { shippedRecipes } from '../../store/questions/recipes.js';
import { knownRevisions } from '../../store/questions/revisions.js';
import { RecipeRow } from '../../store/rows/preparations.entity.js';
import { RevisionActRow, RevisionRow } from '../../store/rows/protocols.entity.js';
import { ReagentRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type ProtocolFolder, readFolder } from './read-file.js';

/** The folder that the program ships with. */
const SHIPPED = fileURLToPath(new URL('../../../protocols', import.meta.url));

/** Read once however many programs start in this process: what ships does not change while they run. */
let shipped: Promise<ProtocolFolder> | undefined;

/** A folder of protocols as a whole, or an error with file, line and column of everything that is wrong in it. */
export async function readProtocols(dir: string): Promise<ProtocolFolder> {
  const folder = await readFolder(dir);
  if (!('problems' in folder)) return folder;
  const lines = folder.problems.map(({ file, line, column, message }) => `  ${file}:${line}:${column} ${message}`);
  throw new Refusal(
    'invalid',
    'faulty-protocols',
    `Nothing of ${dir} was loaded; mend these first:\n${lines.join('\n')}`,
  );
}

/**
 * Makes the laboratory's catalogue, recipes and drafts what the folder holds, in one act: entries that changed and
 * protocols whose content no revision has yet. What stands in the database already is left as it is.
 */
export async function loadProtocols(store: Store, laboratoryId: string, folder: ProtocolFolder): Promise<void> {
  await store.change({ laboratoryId, personId: null, deviceId: null }, 'protocol.loaded', async (unit) => {
    const reagents = await addChanged(unit, folder.reagents);
    const recipes = await addRecipes(unit, folder.recipes);
    const revisions = await draftNew(unit, folder.protocols);
    if (reagents.length + recipes.length + revisions.length > 0) {
      unit.about('catalogue', 'shipped', { reagents, revisions, ...(recipes.length > 0 && { recipes }) });
    }
  });
}

async function addChanged(unit: Unit, reagents: readonly Reagent[]): Promise<string[]> {
  const known = new Map((await catalogue(unit)).map((content) => [content.code, canonicalText(content)]));
  // What the laboratory made its own stays its own.
  const own = await ownReagents(unit);
  const changed = reagents.filter(
    (content) => !own.has(content.code) && known.get(content.code) !== canonicalText(content),
  );
  for (const content of changed) await unit.insert(ReagentRow, { code: content.code, content });
  return changed.map(({ code }) => code);
}

/** What shipped before in another form is added anew; a recipe that the laboratory wrote goes on counting. */
async function addRecipes(unit: Unit, recipes: readonly WrittenRecipe[]): Promise<string[]> {
  const known = await shippedRecipes(unit);
  const changed = recipes.filter((content) => {
    const before = known.get(content.code);
    return before === undefined || canonicalText(before) !== canonicalText(content);
  });
  for (const content of changed) {
    await unit.insert(RecipeRow, { code: content.code, content, own: false, at: unit.at });
  }
  return changed.map(({ code }) => code);
}

async function draftNew(unit: Unit, protocols: readonly Protocol[]): Promise<object[]> {
  const known = await knownRevisions(unit);
  const drafted: object[] = [];
  for (const content of protocols) {
    const hash = contentHash(content);
    const others = known.filter(({ row }) => row.protocolId === content.id).map(({ row }) => row);
    if (others.some((row) => row.contentHash === hash)) continue;
    const { id, protocolId, number } = await unit.insert(RevisionRow, {
      protocolId: content.id,
      number: (others.at(-1)?.number ?? 0) + 1,
      title: content.title,
      content,
      contentHash: hash,
      basedOn: null,
    });
    await unit.insert(RevisionActRow, {
      revisionId: id,
      kind: 'drafted',
      at: unit.at,
      personId: null,
      data: { note: 'Shipped with the program.' },
    });
    drafted.push({ id, protocolId, number, contentHash: hash });
  }
  return drafted;
}

/** What the program ships with: loaded once at its start, which fails when a file is wrong. */
@Injectable()
export class Shipped implements OnModuleInit {
  /** What protocols may name as their sources. */
  sources: readonly Source[] = [];

  constructor(
    private readonly store: Store,
    private readonly config: Config,
  ) {}

  async onModuleInit(): Promise<void> {
    const folder = await (shipped ??= readProtocols(SHIPPED));
    this.sources = folder.sources;
    await loadProtocols(this.store, this.config.laboratoryId, folder);
  }
}
