import { identifierOf, named, type ApplicationIdentifier } from './application-identifiers.js';
import { checkWholeValue, type ReadElement } from './content.js';
import { Gs1Fault } from './fault.js';

const SCHEME = /^(https|HTTPS|http|HTTP):\/\//;

/** Whether a text can only be meant as a web address, in whatever case its scheme is written. */
export function looksLikeLink(text: string): boolean {
  return /^https?:\/\//i.test(text);
}

/** Whether the scheme is written as a Digital Link has it, all in lower or all in upper case. */
export function hasLinkScheme(text: string): boolean {
  return SCHEME.test(text);
}

/**
 * Reads a GS1 Digital Link URI: a primary key and its qualifiers, in order, at the end of the path; other elements in
 * the query, where names that are no number are ignored. `offset` is how many characters stood before it. Throws
 * Gs1Fault. Source: GS1 Digital Link standard, URI syntax.
 */
export function parseDigitalLink(uri: string, offset: number, today: string): ReadElement[] {
  const bad = uri.search(/[^\w\-.~:/?#[\]@!$&'()*+,;=%]/);
  if (bad >= 0) {
    const message = `The address holds a character at ${offset + bad + 1} that an address may not hold; write it percent-encoded, such as %20.`;
    throw new Gs1Fault('GS1_LINK', offset + bad + 1, message);
  }
  const scheme = SCHEME.exec(uri)?.[0];
  if (scheme === undefined) {
    throw new Gs1Fault(
      'GS1_LINK',
      offset + 1,
      'A Digital Link begins with http:// or https://, all in lower or all in upper case.',
    );
  }
  const domain = uri.slice(scheme.length, uri.indexOf('/', scheme.length));
  if (!uri.includes('/', scheme.length) || domain === '' || /[_~?#@!$&'()*+,;=%]/.test(domain)) {
    const at = offset + scheme.length + 1;
    throw new Gs1Fault(
      'GS1_LINK',
      at,
      `A domain and a path would be right at character ${at}, such as id.example.org/01/09521234543213.`,
    );
  }
  const pathStart = scheme.length + domain.length;
  const [withQuery = ''] = uri.slice(pathStart).split('#');
  const mark = withQuery.indexOf('?');
  const path = mark < 0 ? withQuery : withQuery.slice(0, mark);
  const inPath = readPath(path, offset + pathStart, today);
  const inQuery = mark < 0 ? [] : readQuery(withQuery.slice(mark + 1), offset + pathStart + mark + 1, today);
  checkPlaces(inPath, inQuery);
  return [...inPath, ...inQuery];
}

function readPath(path: string, offset: number, today: string): ReadElement[] {
  const segments = path.split('/');
  // From the end, pair by pair, back to the last primary key: what stands before it is the reseller's own path.
  let start = segments.length - 2;
  while (start >= 1 && identifierOf(segments[start] ?? '')?.linkKey === undefined) {
    start = identifierOf(segments[start] ?? '') === undefined ? 0 : start - 2;
  }
  if (start < 1) {
    const message =
      'The path does not end in a GS1 key and its qualifiers, such as /01/09521234543213/10/EY2406A; a slash inside a value is written %2F.';
    throw new Gs1Fault('GS1_LINK', offset + 1, message);
  }
  const elements: ReadElement[] = [];
  for (let i = start; i < segments.length; i += 2) {
    const ai = identifierOf(segments[i] ?? '');
    const at = offset + segments.slice(0, i + 1).join('/').length + 2;
    if (ai !== undefined) {
      elements.push(element(ai, decode(segments[i + 1] ?? ''), at, today));
    }
  }
  return elements;
}

function readQuery(query: string, offset: number, today: string): ReadElement[] {
  const elements: ReadElement[] = [];
  let here = offset + 1;
  for (const part of query.split('&')) {
    const [name = ''] = part.split('=');
    if (part.includes('=') && /^\d+$/.test(name)) {
      const ai = identifierOf(name);
      if (ai === undefined) {
        const message = `"${name}" at character ${here} is no assigned application identifier; names that are all digits are kept for those.`;
        throw new Gs1Fault('GS1_UNKNOWN_AI', here, message);
      }
      const value = decode(part.slice(name.length + 1).replaceAll('+', ' '));
      // The standard lets a GTIN in the query stand without its leading zeros.
      const whole = ai.ai === '01' && [8, 12, 13].includes(value.length) ? value.padStart(14, '0') : value;
      elements.push(element(ai, whole, here + name.length + 1, today));
    }
    here += part.length + 1;
  }
  return elements;
}

/** Qualifiers in the path and in their order; in the query only attributes, none twice, none that belongs in the path. */
function checkPlaces(inPath: ReadElement[], inQuery: ReadElement[]): void {
  const sequence = inPath.map((e) => e.ai.ai);
  const [key] = inPath;
  if (key !== undefined && !isKeySequence(sequence)) {
    const orders = (key.ai.linkKey ?? []).filter((o) => o.length > 0).map((o) => o.join(', '));
    const right = orders.length === 0 ? 'no qualifier' : `the qualifiers ${orders.join(' or ')}, in this order`;
    throw new Gs1Fault(
      'GS1_LINK',
      key.at,
      `The path holds ${sequence.join(', ')}; after ${named(key.ai.ai)} it may hold ${right}.`,
    );
  }
  inQuery.forEach(({ ai, at }, i) => {
    if ([...inPath, ...inQuery.slice(0, i)].some((e) => e.ai === ai)) {
      throw new Gs1Fault('GS1_REPEATED', at, `${named(ai.ai)} stands twice in the address; it may stand once.`);
    }
    const insertions = sequence.map((_, j) => [...sequence.slice(0, j + 1), ai.ai, ...sequence.slice(j + 1)]);
    if (!ai.linkAttribute || insertions.some(isKeySequence)) {
      throw new Gs1Fault(
        'GS1_LINK',
        at,
        `${named(ai.ai)} stands in the query at character ${at}; it belongs in the path, as in /${ai.ai}/….`,
      );
    }
  });
}

/** Whether the qualifiers after the key follow the order of one of its alternatives, any left out. */
function isKeySequence([key = '', ...qualifiers]: string[]): boolean {
  const alternatives = identifierOf(key)?.linkKey ?? [];
  return alternatives.some((order) => {
    const places = qualifiers.map((q) => order.indexOf(q));
    return places.every((place, i) => place >= 0 && place > (places[i - 1] ?? -1));
  });
}

function element(ai: ApplicationIdentifier, value: string, at: number, today: string): ReadElement {
  checkWholeValue(ai, value, at, today);
  return { ai, value, at, closed: true };
}

/** One character per byte: whatever is outside ASCII is no character of a GS1 value anyway. */
function decode(text: string): string {
  return text.replace(/%([0-9A-Fa-f]{2})/g, (_, hex: string) => String.fromCharCode(parseInt(hex, 16)));
}
