import { identifierAtStart, identifierOf, named } from './application-identifiers.js';
import { checkWholeValue, type ReadElement, takeValue, tooLong, visible } from './content.js';
import { Gs1Fault } from './fault.js';

/** The character (ASCII 29) that scanners send for the FNC1 between elements. */
export const SEPARATOR = '\u001d';

/**
 * Takes concatenated element strings apart: an element of predefined length ends by itself, every other at the next
 * separator or at the end; one needless separator after an element is tolerated. `offset` is how many characters
 * stood before this text. Throws Gs1Fault. Source: GS1 General Specifications, section 7.8.
 */
export function parseElementStrings(text: string, offset: number, today: string): ReadElement[] {
  if (text === '') {
    throw new Gs1Fault(
      'GS1_EMPTY',
      offset + 1,
      'There is no data after the symbology identifier; element strings follow it.',
    );
  }
  const elements: ReadElement[] = [];
  let here = 0;
  while (here < text.length) {
    const ai = identifierAtStart(text.slice(here));
    const at = offset + here + 1;
    if (ai === undefined) {
      throw unknownIdentifier(text.slice(here), at, elements.at(-1));
    }
    here += ai.ai.length;
    const separator = text.indexOf(SEPARATOR, here);
    const end = separator < 0 ? text.length : separator;
    const taken = takeValue(ai, text.slice(here, end), at + ai.ai.length, today);
    if (!ai.predefined && here + taken < end) {
      const hint = ', or the separator (GS, ASCII 29) before the next element was lost';
      throw tooLong(ai, text.slice(here, end), at + ai.ai.length, hint);
    }
    elements.push({
      ai,
      value: text.slice(here, here + taken),
      at: at + ai.ai.length,
      closed: ai.predefined || separator >= 0,
    });
    here += taken;
    if (text.charAt(here) === SEPARATOR) {
      here += 1;
    }
  }
  return elements;
}

/**
 * Reads the human readable form, where brackets stand round the AIs, as in "(01)09521234543213(10)EY2406A"; an opening
 * bracket that belongs to a value is written "\(". Throws Gs1Fault. Source: GS1 General Specifications, section 4
 * (human readable interpretation).
 */
export function parseBracketed(text: string, today: string): ReadElement[] {
  const elements: ReadElement[] = [];
  let here = 0;
  while (here < text.length) {
    const close = text.indexOf(')', here);
    if (text.charAt(here) !== '(' || close < 0) {
      const found = text.charAt(here) === '(' ? 'a bracket that does not close' : visible(text.charAt(here));
      throw new Gs1Fault(
        'GS1_BRACKETS',
        here + 1,
        `An application identifier in brackets, such as (01), would be right at character ${here + 1}, where ${found} stands.`,
      );
    }
    const ai = identifierOf(text.slice(here + 1, close));
    if (ai === undefined) {
      const message = `"${text.slice(here, close + 1)}" at character ${here + 1} is no assigned application identifier; an opening bracket inside a value is written "\\(".`;
      throw new Gs1Fault('GS1_UNKNOWN_AI', here + 1, message);
    }
    const [escaped = ''] = /^(\\\(|[^(])*/.exec(text.slice(close + 1)) ?? [];
    const value = escaped.replaceAll('\\(', '(');
    checkWholeValue(ai, value, close + 2, today);
    elements.push({ ai, value, at: close + 2, closed: true });
    here = close + 1 + escaped.length;
  }
  if (elements.length === 0) {
    throw new Gs1Fault('GS1_EMPTY', 1, 'The text is empty; element strings such as (01)09521234543213 would be right.');
  }
  return elements;
}

function unknownIdentifier(rest: string, at: number, before: ReadElement | undefined): Gs1Fault {
  if (rest.startsWith(SEPARATOR)) {
    const message = `A separator (GS, ASCII 29) stands at character ${at} where an application identifier would be right; the first one is already said by the symbology identifier.`;
    return new Gs1Fault('GS1_UNKNOWN_AI', at, message);
  }
  const after = before === undefined ? '' : `, after ${named(before.ai.ai)} "${before.value}"`;
  const message = `No assigned application identifier begins with "${rest.slice(0, 4)}" at character ${at}${after}; one such as 01, 10, 17 or 21 would be right.`;
  return new Gs1Fault('GS1_UNKNOWN_AI', at, message);
}
