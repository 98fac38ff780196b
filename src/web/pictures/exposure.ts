import { EXPOSURE_PARTS, type Exposure, type ExposurePart } from '../../core/stain-image/taken.js';
import { kept } from '../parts/kept.js';
import { typedNumber } from '../parts/typed-number.js';
import { PICTURES } from './words.js';

/** How a picture was taken, as the fields hold it. */
export type ExposureDraft = Record<ExposurePart, string>;

const KEPT = 'exposure';
const NUMBERS: readonly ExposurePart[] = ['exposureMs', 'gain'];
const NOTHING: ExposureDraft = { exposureMs: '', gain: '', objective: '', camera: '', lamp: '' };

/** What was written on this device the last time: a microscope mostly stays as it is. */
export function lastExposure(): ExposureDraft {
  try {
    const last = JSON.parse(kept.read(KEPT) ?? '{}') as Partial<ExposureDraft>;
    return { ...NOTHING, ...last };
  } catch {
    return NOTHING;
  }
}

export function keepExposure(draft: ExposureDraft): void {
  kept.write(KEPT, JSON.stringify(draft));
}

/** Parts that must be numbers of zero or more and are not. */
export function wrongParts(draft: ExposureDraft): ExposurePart[] {
  return NUMBERS.filter((part) => draft[part].trim() !== '' && !(typedNumber(draft[part]) >= 0));
}

/** What was filled in, as the server takes it. */
export function exposureOf(draft: ExposureDraft): Exposure {
  return Object.fromEntries(
    EXPOSURE_PARTS.flatMap((part) => {
      const text = draft[part].trim();
      if (text === '') return [];
      return [[part, NUMBERS.includes(part) ? typedNumber(text) : text]];
    }),
  );
}

/** '8 ms, gain 2, 20x'; null when nothing was written down. */
export function exposureText(exposure: Exposure): string | null {
  const { exposureMs, gain, objective, camera, lamp } = exposure;
  const parts = [
    exposureMs !== undefined && `${exposureMs} ms`,
    gain !== undefined && PICTURES.exposure.gainOf(gain),
    objective,
    camera,
    lamp,
  ].filter((part) => part !== undefined && part !== false);
  return parts.length === 0 ? null : parts.join(', ');
}
