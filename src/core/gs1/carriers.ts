import { endsInCheckDigit, checkDigit } from './check-digit.js';
import { hasLinkScheme, looksLikeLink, parseDigitalLink } from './digital-link.js';
import { parseBracketed, parseElementStrings } from './element-strings.js';
import { visible } from './content.js';
import { Gs1Fault } from './fault.js';
import { type Gs1Reading, type Parsed, reading } from './reading.js';

/**
 * Symbology identifiers (ISO/IEC 15424) that scanners put before the data, and what each carries. Source: GS1 General
 * Specifications, section 5.
 */
const CARRIERS: Record<string, { name: string; carries: 'elements' | 'plain' | 'ean-13' | 'ean-8' }> = {
  ']C1': { name: 'GS1-128', carries: 'elements' },
  ']d2': { name: 'GS1 DataMatrix', carries: 'elements' },
  ']Q3': { name: 'GS1 QR Code', carries: 'elements' },
  ']e0': { name: 'GS1 DataBar', carries: 'elements' },
  ']J1': { name: 'GS1 DotCode', carries: 'elements' },
  ']d1': { name: 'a plain Data Matrix', carries: 'plain' },
  ']Q1': { name: 'a plain QR Code', carries: 'plain' },
  ']E0': { name: 'EAN-13', carries: 'ean-13' },
  ']E4': { name: 'EAN-8', carries: 'ean-8' },
};

const GS1_CARRIERS = ']C1 (GS1-128), ]d2 (GS1 DataMatrix), ]Q3 (GS1 QR Code), ]e0 (GS1 DataBar) or ]J1 (GS1 DotCode)';

/**
 * Reads what a scanner sent, which begins with a symbology identifier: element strings, a GS1 Digital Link, or the
 * number of a retail bar code. `today` (an ISO date) fixes the century. Plain text in a plain code is valid and holds
 * no elements, with a warning. Source: GS1 General Specifications, sections 5 and 7.8.
 * `readScanned(']d2010952123454321317270630', '2026-11-25')` has gtin '09521234543213' and expiry '2027-06-30'.
 */
export function readScanned(text: string, today: string): Gs1Reading {
  return reading(today, () => {
    if (!text.startsWith(']') || text.length < 3) {
      const message = `The text begins with no symbology identifier; a scanner sends ${GS1_CARRIERS} first. Switch that on in the scanner.`;
      throw new Gs1Fault('GS1_NO_SYMBOLOGY_IDENTIFIER', 1, message);
    }
    const carrier = CARRIERS[text.slice(0, 3)];
    const data = text.slice(3);
    if (carrier === undefined) {
      const message = `${text.slice(0, 3)} is no carrier of GS1 data; it would be ${GS1_CARRIERS}.`;
      throw new Gs1Fault('GS1_CARRIER', 1, message);
    }
    switch (carrier.carries) {
      case 'elements':
        return { elements: parseElementStrings(data, 3, today) };
      case 'plain': {
        if (hasLinkScheme(data)) {
          return { elements: parseDigitalLink(data, 3, today) };
        }
        const message = `${text.slice(0, 3)} is ${carrier.name}, so its text holds no element strings and nothing was read from it; GS1 data comes as ${GS1_CARRIERS}, or as a Digital Link that begins with http:// or https://.`;
        return { elements: [], warnings: [{ code: 'GS1_NO_GS1_DATA', message }] };
      }
      case 'ean-13':
        return parseRetail(data, 13, today);
      case 'ean-8':
        return parseRetail(data, 8, today);
    }
  });
}

/**
 * Reads the human readable form, "(01)09521234543213(17)270630(10)EY2406A"; otherwise as readScanned. Source: GS1
 * General Specifications, section 4 (human readable interpretation).
 */
export function readBracketed(text: string, today: string): Gs1Reading {
  return reading(today, () => ({ elements: parseBracketed(text, today) }));
}

/** Reads element strings from a scanner that sends no symbology identifier, with a warning; otherwise as readScanned. */
export function readUnprefixed(text: string, today: string): Gs1Reading {
  return reading(today, () => {
    if (looksLikeLink(text)) {
      return { elements: parseDigitalLink(text, 0, today) };
    }
    const message =
      'The scanner sent no symbology identifier, so nothing says that this is GS1 data; it was read as if it were. Switch that on in the scanner, and compare with the print.';
    const elements = parseElementStrings(text, 0, today);
    return { elements, warnings: [{ code: 'GS1_NO_SYMBOLOGY_IDENTIFIER', message }] };
  });
}

/** Reads the bare number of a product, as typed from under its bar code: GTIN-8, 12, 13 or 14; otherwise as readScanned. */
export function readGtin(digits: string, today: string): Gs1Reading {
  return reading(today, () => parseGtin(digits, 0));
}

/** The number of a retail bar code, and the composite component that may follow it after "|". */
function parseRetail(data: string, length: 13 | 8, today: string): Parsed {
  const [digits = '', component] = splitComposite(data);
  if (digits.length !== length) {
    const message = `The number "${digits}" has ${digits.length} characters; EAN-${length} has ${length} digits.`;
    throw new Gs1Fault(digits.length < length ? 'GS1_VALUE_SHORT' : 'GS1_VALUE_LONG', 4, message);
  }
  const primary = parseGtin(digits, 3);
  if (component === undefined) {
    return primary;
  }
  const elements = parseElementStrings(component, 3 + digits.length + COMPOSITE.length, today);
  return { elements, retailGtin: primary.retailGtin };
}

const COMPOSITE = '|]e0';

function splitComposite(data: string): string[] {
  const mark = data.indexOf(COMPOSITE);
  return mark < 0 ? [data] : [data.slice(0, mark), data.slice(mark + COMPOSITE.length)];
}

function parseGtin(digits: string, offset: number): Parsed {
  if (![8, 12, 13, 14].includes(digits.length)) {
    const message = `"${digits}" has ${digits.length} characters; a GTIN has 8, 12, 13 or 14 digits.`;
    throw new Gs1Fault(digits.length > 14 ? 'GS1_VALUE_LONG' : 'GS1_VALUE_SHORT', offset + 1, message);
  }
  const bad = digits.search(/\D/);
  if (bad >= 0) {
    const at = offset + bad + 1;
    const message = `GTIN "${digits}" holds ${visible(digits.charAt(bad))} at character ${at}; it has digits only.`;
    throw new Gs1Fault('GS1_CHARACTER', at, message);
  }
  if (!endsInCheckDigit(digits)) {
    const right = checkDigit(digits.slice(0, -1));
    const message = `GTIN "${digits}": check digit ${digits.slice(-1)} does not fit; after ${digits.slice(0, -1)} it would be ${right}.`;
    throw new Gs1Fault('GS1_CHECK_DIGIT', offset + digits.length, message);
  }
  const message = 'This is the number of the product only; key in lot and expiry from the print.';
  return {
    elements: [],
    retailGtin: digits.padStart(14, '0'),
    warnings: [{ code: 'GS1_GTIN_ONLY', message }],
  };
}
