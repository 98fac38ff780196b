import { encode } from 'fast-png';
import { RUIFROK_JOHNSTON, type StainVector } from '../core/stain-image/deconvolution.js';

const SIDE = 160;

/** A painted field as a PNG, nuclei in haematoxylin and some of them in DAB, so dark as told in optical density: nobody's tissue. */
export function paintedField(density = 0.8): Uint8Array {
  const data = new Uint8Array(SIDE * SIDE * 3);
  for (let i = 0; i < SIDE * SIDE; i++) {
    const [x, y] = [i % SIDE, Math.floor(i / SIDE)];
    const [column, row] = [Math.floor(x / 32), Math.floor(y / 32)];
    const inside = Math.hypot((x % 32) - 16, (y % 32) - 16) < 9 + ((column + row) % 3);
    const brown = (column * 2 + row) % 3 === 0;
    const amounts = inside ? amount(brown ? 'dab' : 'haematoxylin', density) : amount('haematoxylin', 0.06);
    // A little grain, the same each time.
    const grain = ((x * 7919 + y * 104_729) % 13) / 600;
    amounts.forEach((value, channel) => (data[3 * i + channel] = Math.round(250 * 10 ** -(value + grain))));
  }
  return encode({ width: SIDE, height: SIDE, channels: 3, data });
}

function amount(stain: keyof typeof RUIFROK_JOHNSTON, of: number): StainVector {
  return RUIFROK_JOHNSTON[stain].map((part) => part * of) as StainVector;
}
