import { Refusal } from '../core/refusal.js';

/** More than any microscope camera takes at once; a picture that says it is larger is not decoded. */
export const MOST_PIXELS = 64_000_000;

export function refused(message: string): Refusal {
  return new Refusal('invalid', 'bad-picture', message);
}

/** Refuses, by what its header says, a picture that is too large to be decoded or holds nothing. */
export function checkSize(width: number, height: number): void {
  if (!(width > 0 && height > 0)) {
    throw refused(`The picture says that it has ${width} by ${height} pixels; it holds nothing to measure.`);
  }
  if (width * height <= MOST_PIXELS) return;
  const megapixels = (pixels: number) => `${Math.round(pixels / 1e5) / 10} megapixels`;
  throw refused(
    `The picture says that it has ${width} by ${height} pixels, ${megapixels(width * height)}; at most ${megapixels(MOST_PIXELS)} are measured. Save a part of it, or a smaller one.`,
  );
}

/** What a decoder's own error becomes. */
export function broken(kind: string, error: unknown): Refusal {
  const { message } = error as Error;
  return refused(`The ${kind} picture is broken or cut off (${message}); save it anew.`);
}
