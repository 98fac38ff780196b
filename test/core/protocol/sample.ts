import { readFileSync } from 'node:fs';
import type { Protocol } from '../../../src/core/protocol/protocol.js';
import type { Vocabulary } from '../../../src/core/protocol/check.js';
import type { FileProblem } from '../../../src/modules/protocols/read-file.js';
import { readCatalogueFile, readProtocolFile, readSourcesFile } from '../../../src/modules/protocols/read-file.js';

function contentOf<T extends object>(read: T): Exclude<T, { problems: FileProblem[] }> {
  if ('problems' in read) {
    throw new Error(JSON.stringify(read.problems, null, 1));
  }
  return read as Exclude<T, { problems: FileProblem[] }>;
}

const text = (name: string) => readFileSync(`protocols/${name}`, 'utf8');

const { sources } = contentOf(readSourcesFile(text('sources.yaml'), 'sources.yaml'));
const { reagents } = contentOf(readCatalogueFile(text('catalogue.yaml'), 'catalogue.yaml', sources));

/** The shipped reagents and sources. */
export const vocabulary: Vocabulary = { reagents, sources };

/** A shipped protocol, new at each call so that a test may change it. */
export function shipped(id: string): Protocol {
  return contentOf(readProtocolFile(text(`${id}.yaml`), `${id}.yaml`, reagents, sources)).protocol;
}
