import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';
import reader from 'zxing-wasm/reader/zxing_reader.wasm?url';

// From this server and nowhere else: the library would fetch it from a network of others.
prepareZXingModule({ overrides: { locateFile: () => reader } });

/**
 * The code in a picture, as a hand scanner would send it; null when none can be read. A GS1 code begins with its symbology
 * identifier (ISO/IEC 15424), which tells it from a text of digits, and has U+001D between its elements.
 */
export async function codeIn(picture: ImageData | Blob): Promise<string | null> {
  const [found] = await readBarcodes(picture, { textMode: 'Plain', maxNumberOfSymbols: 1 });
  if (!found?.isValid) return null;
  return found.contentType === 'GS1' ? `${found.symbologyIdentifier}${found.text}` : found.text;
}
