import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Source } from '../core/protocol/catalogue.js';
import { openProposals } from '../core/protocol/figures.js';
import type { Reagent } from '../core/protocol/protocol.js';
import {
  type FileProblem,
  readCatalogueFile,
  readProtocolFile,
  readRecipesFile,
  readSourcesFile,
} from '../modules/protocols/read-file.js';

const SHIPPED = fileURLToPath(new URL('../../protocols/', import.meta.url));
const CATALOGUE = 'catalogue.yaml';
const SOURCES = 'sources.yaml';
const RECIPES = 'recipes.yaml';

type Checked = { problems: FileProblem[] } | { ok: string };

/** Tells for each file that it is right, or every problem as `file:line:column: message`. */
export async function protocolCheck(files: readonly string[]): Promise<void> {
  for (const file of files) {
    const checked = await check(file);
    if ('ok' in checked) {
      process.stdout.write(`${file}: ok, ${checked.ok}\n`);
      continue;
    }
    process.exitCode = 1;
    for (const problem of checked.problems) {
      process.stdout.write(`${problem.file}:${problem.line}:${problem.column}: ${problem.message}\n`);
    }
  }
}

async function check(file: string): Promise<Checked> {
  const read = await text(file);
  if (typeof read !== 'string') return read;
  if (basename(file) === SOURCES) {
    const list = readSourcesFile(read, file);
    return 'problems' in list ? list : { ok: count(list.sources.length, 'source') };
  }
  const sources = await sourcesFor(file);
  if ('problems' in sources) return sources;
  if (basename(file) === CATALOGUE) {
    const catalogue = readCatalogueFile(read, file, sources.sources);
    return 'problems' in catalogue ? catalogue : { ok: count(catalogue.reagents.length, 'reagent') };
  }
  const catalogue = await catalogueFor(file, sources.sources);
  if ('problems' in catalogue) return catalogue;
  if (basename(file) === RECIPES) {
    const list = readRecipesFile(read, file, catalogue.reagents, sources.sources);
    return 'problems' in list ? list : { ok: count(list.recipes.length, 'recipe') };
  }
  const protocol = readProtocolFile(read, file, catalogue.reagents, sources.sources);
  return 'problems' in protocol ? protocol : { ok: count(openProposals(protocol.protocol).length, 'open proposal') };
}

async function sourcesFor(file: string): Promise<{ problems: FileProblem[] } | { sources: Source[] }> {
  const path = beside(file, SOURCES);
  const read = await text(path);
  return typeof read === 'string' ? readSourcesFile(read, path) : read;
}

async function catalogueFor(
  file: string,
  sources: readonly Source[],
): Promise<{ problems: FileProblem[] } | { reagents: Reagent[] }> {
  const path = beside(file, CATALOGUE);
  const read = await text(path);
  return typeof read === 'string' ? readCatalogueFile(read, path, sources) : read;
}

/** A laboratory's own folder has its own; a single file elsewhere is checked against what ships. */
function beside(file: string, name: string): string {
  const own = join(dirname(file), name);
  return existsSync(own) ? own : join(SHIPPED, name);
}

async function text(file: string): Promise<string | { problems: FileProblem[] }> {
  try {
    return await readFile(file, 'utf8');
  } catch (error) {
    const message = `this file cannot be read (${(error as Error).message}); name a readable YAML file`;
    return { problems: [{ file, line: 1, column: 1, path: [], message }] };
  }
}

function count(n: number, what: string): string {
  return `${n} ${what}${n === 1 ? '' : 's'}`;
}
