import { checkedPicture, offsets, type Colour, type Picture } from './picture.js';

/**
 * Focus: the variance (n in the denominator) of the Laplacian 0 1 0 / 1 -4 1 / 0 1 0 of the luminance 0.2126 R + 0.7152 G +
 * 0.0722 B on a scale of 0 to 255, the border repeated (Pech-Pacheco et al., ICPR 2000;3:314-317; luminance of ITU-R BT.709).
 * It depends on what is in the field: compare only the same field of the same control at the same exposure. An even picture
 * has 0.
 */
export function varianceOfLaplacian(picture: Picture): number {
  const { width, height } = checkedPicture(picture);
  let sum = 0;
  let squares = 0;
  let above = luminanceRow(picture, 0, new Float64Array(width + 2));
  let row = luminanceRow(picture, 0, new Float64Array(width + 2));
  let below = new Float64Array(width + 2);
  for (let y = 0; y < height; y++) {
    below = luminanceRow(picture, Math.min(y + 1, height - 1), below);
    let [left, here] = [at(row, 0), at(row, 1)];
    for (let x = 1; x <= width; x++) {
      const right = at(row, x + 1);
      const curve = at(above, x) + at(below, x) + left + right - 4 * here;
      sum += curve;
      squares += curve * curve;
      left = here;
      here = right;
    }
    [above, row, below] = [row, below, above];
  }
  const pixels = width * height;
  return Math.max(0, squares / pixels - (sum / pixels) ** 2);
}

/** One row of luminance with its first and last pixel repeated beyond the border. */
function luminanceRow(picture: Picture, y: number, row: Float64Array<ArrayBuffer>): Float64Array<ArrayBuffer> {
  const { width, channels, data, full } = picture;
  const [r, g, b] = offsets(picture);
  const [red, green, blue] = [0.2126, 0.7152, 0.0722].map((weight) => (weight * 255) / full) as Colour;
  for (let x = 0, i = y * width * channels; x < width; x++, i += channels) {
    row[x + 1] = red * (data[i + r] as number) + green * (data[i + g] as number) + blue * (data[i + b] as number);
  }
  row[0] = at(row, 1);
  row[width + 1] = at(row, width);
  return row;
}

function at(row: Float64Array, x: number): number {
  return row[x] as number;
}
