import { readdir, readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { isAlias, isMap, isNode, isScalar, isSeq, LineCounter, parseDocument, visit } from 'yaml';
import type { Document, Node } from 'yaml';
import { CatalogueDto, SourceListDto } from '../../contract/catalogue.dto.js';
import { formProblems } from '../../contract/form.js';
import { ProtocolDto } from '../../contract/protocol.dto.js';
import { RecipeListFileDto } from '../../contract/recipes.dto.js';
import type { Catalogue, Source, SourceList } from '../../core/protocol/catalogue.js';
import { checkCatalogue, checkProtocol, checkSources } from '../../core/protocol/check.js';
import type { Path, Problem } from '../../core/protocol/problem.js';
import type { Protocol, Reagent } from '../../core/protocol/protocol.js';
import { checkRecipes } from '../../core/recipe/check.js';
import type { RecipeList, WrittenRecipe } from '../../core/recipe/recipe.js';

/** A problem and where in which file it stands; line and column count from 1. */
export interface FileProblem {
  file: string;
  line: number;
  column: number;
  path: Path;
  message: string;
}

export type Read<T> = T | { problems: FileProblem[] };

/** No protocol comes near it; a file beyond it is another thing or an attack. */
const MAX_CHARACTERS = 1_000_000;

const CATALOGUE_FILE = 'catalogue.yaml';
const SOURCES_FILE = 'sources.yaml';
const RECIPES_FILE = 'recipes.yaml';

/** Reads one protocol file strictly: it is right as a whole, or every problem found is told with line and column. */
export function readProtocolFile(
  text: string,
  fileName: string,
  reagents: readonly Reagent[],
  sources: readonly Source[],
): Read<{ protocol: Protocol }> {
  const name = basename(fileName, '.yaml');
  const read = readStrict<Protocol>(text, fileName, ProtocolDto, (protocol) => [
    ...(protocol.id === name
      ? []
      : [
          {
            path: ['id'],
            code: 'file-name',
            message: `id is "${protocol.id}" and the file is ${fileName}; name the file ${protocol.id}.yaml`,
          },
        ]),
    ...checkProtocol(protocol, { reagents, sources }),
  ]);
  return 'problems' in read ? read : { protocol: read.content };
}

/** Reads the file of reagents. */
export function readCatalogueFile(
  text: string,
  fileName: string,
  sources: readonly Source[],
): Read<{ reagents: Reagent[] }> {
  const read = readStrict<Catalogue>(text, fileName, CatalogueDto, ({ reagents }) => checkCatalogue(reagents, sources));
  return 'problems' in read ? read : { reagents: read.content.reagents };
}

/** Reads the file of sources. */
export function readSourcesFile(text: string, fileName: string): Read<{ sources: Source[] }> {
  const read = readStrict<SourceList>(text, fileName, SourceListDto, (list) => checkSources(list.sources));
  return 'problems' in read ? read : { sources: read.content.sources };
}

/** Reads the file of recipes. */
export function readRecipesFile(
  text: string,
  fileName: string,
  reagents: readonly Reagent[],
  sources: readonly Source[],
): Read<{ recipes: WrittenRecipe[] }> {
  const read = readStrict<RecipeList>(text, fileName, RecipeListFileDto, ({ recipes }) =>
    checkRecipes(recipes, { reagents, sources }),
  );
  return 'problems' in read ? read : { recipes: read.content.recipes };
}

/** The content of a folder of protocols. */
export interface ProtocolFolder {
  protocols: Protocol[];
  reagents: Reagent[];
  /** None where the folder has no file of them. */
  recipes: WrittenRecipe[];
  sources: Source[];
}

/** Reads a folder: its sources, its catalogue and every protocol; any problem in any file and nothing of it is given. */
export async function readFolder(dir: string): Promise<Read<ProtocolFolder>> {
  const text = (name: string) => readFile(join(dir, name), 'utf8');
  const names = (await readdir(dir)).filter((name) => name.endsWith('.yaml')).sort();
  const absent = [SOURCES_FILE, CATALOGUE_FILE].filter((name) => !names.includes(name));
  if (absent.length > 0) {
    return {
      problems: absent.map((file) => ({
        file,
        line: 1,
        column: 1,
        path: [],
        message: `${dir} has no ${file}; protocols name its entries`,
      })),
    };
  }
  const list = readSourcesFile(await text(SOURCES_FILE), SOURCES_FILE);
  if ('problems' in list) {
    return list;
  }
  const catalogue = readCatalogueFile(await text(CATALOGUE_FILE), CATALOGUE_FILE, list.sources);
  if ('problems' in catalogue) {
    return catalogue;
  }
  const protocols: Protocol[] = [];
  const problems: FileProblem[] = [];
  const recipes = names.includes(RECIPES_FILE)
    ? readRecipesFile(await text(RECIPES_FILE), RECIPES_FILE, catalogue.reagents, list.sources)
    : { recipes: [] };
  if ('problems' in recipes) problems.push(...recipes.problems);
  for (const name of names.filter((each) => ![SOURCES_FILE, CATALOGUE_FILE, RECIPES_FILE].includes(each))) {
    const read = readProtocolFile(await text(name), name, catalogue.reagents, list.sources);
    if ('problems' in read) {
      problems.push(...read.problems);
    } else {
      protocols.push(read.protocol);
    }
  }
  if (problems.length > 0 || 'problems' in recipes) return { problems };
  return { protocols, reagents: catalogue.reagents, recipes: recipes.recipes, sources: list.sources };
}

function readStrict<T>(
  text: string,
  file: string,
  type: new () => object,
  rules: (content: T) => Problem[],
): Read<{ content: T }> {
  const lines = new LineCounter();
  const at = (offset: number, path: Path, message: string): FileProblem => {
    const { line, col } = lines.linePos(offset);
    // An empty text has no line of its own yet.
    return { file, line: Math.max(line, 1), column: Math.max(col, 1), path, message };
  };
  if (text.length > MAX_CHARACTERS) {
    return {
      problems: [at(0, [], `the file has ${text.length} characters; a protocol has fewer than ${MAX_CHARACTERS}`)],
    };
  }
  const document = parseDocument(text, {
    lineCounter: lines,
    prettyErrors: false,
    version: '1.2',
    merge: false,
    uniqueKeys: true,
  });
  const faults = [...document.errors, ...document.warnings].map((fault) =>
    at(fault.pos[0], [], `this is not YAML as it is read here: ${fault.message}`),
  );
  visit(document, (_key, node) => {
    if (!isNode(node)) {
      return;
    }
    const offset = node.range?.[0] ?? 0;
    if (isAlias(node) || node.anchor !== undefined) {
      faults.push(at(offset, [], 'anchors and aliases are not used here; write the value out'));
    } else if (node.tag !== undefined) {
      faults.push(at(offset, [], `tags are not used here; write the value without ${node.tag}`));
    }
  });
  if (faults.length > 0) {
    return { problems: faults };
  }
  const content: unknown = document.toJS({ maxAliasCount: 0 });
  const form = formProblems(type, content);
  const problems = form.length > 0 ? form : rules(content as T);
  if (problems.length > 0) {
    return {
      problems: problems
        .map((problem) => at(offsetOf(document, problem), problem.path, problem.message))
        .sort((a, b) => a.line - b.line || a.column - b.column),
    };
  }
  return { content: content as T };
}

/** Where a problem stands: at its value; an unknown key at the key; a missing one at what should hold it. */
function offsetOf(document: Document.Parsed, { path, code }: Problem): number {
  let node: Node | null = document.contents;
  let offset = node?.range?.[0] ?? 0;
  for (const [depth, key] of path.entries()) {
    if (isMap(node)) {
      const pair = node.items.find((item) => isScalar(item.key) && String(item.key.value) === String(key));
      if (!pair) {
        return offset;
      }
      const keyOffset = isNode(pair.key) ? (pair.key.range?.[0] ?? offset) : offset;
      const last = depth === path.length - 1;
      node = isNode(pair.value) ? pair.value : null;
      offset = last && code === 'unknown-key' ? keyOffset : (node?.range?.[0] ?? keyOffset);
    } else if (isSeq(node)) {
      const item: unknown = node.items[Number(key)];
      if (!isNode(item)) {
        return offset;
      }
      node = item;
      offset = item.range?.[0] ?? offset;
    } else {
      return offset;
    }
  }
  return offset;
}
