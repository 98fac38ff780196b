/** What a picture is of: a reading of a control, a run's control before it is read, or a series of numbers. */
export const PICTURE_SUBJECTS = ['reading', 'run', 'series'] as const;
export type PictureSubjectKind = (typeof PICTURE_SUBJECTS)[number];

/** How a picture was taken, as far as it was written down: figures compare only at the same. */
export interface Exposure {
  exposureMs?: number;
  gain?: number;
  objective?: string;
  camera?: string;
  lamp?: string;
}

/** What is told of how a picture was taken. */
export const EXPOSURE_PARTS = [
  'exposureMs',
  'gain',
  'objective',
  'camera',
  'lamp',
] as const satisfies (keyof Exposure)[];
export type ExposurePart = (typeof EXPOSURE_PARTS)[number];

/** Whether two pictures were taken alike, as far as was written down. */
export interface ExposureMatch {
  verdict: 'same' | 'differs' | 'unknown';
  /** What differs. */
  differs: ExposurePart[];
  /** What was written down of one of the two alone; the exposure time also when of neither. */
  unknown: ExposurePart[];
}

/**
 * Whether two pictures were taken at the same exposure: the same when the exposure time and everything else that was written
 * down of either is equal, different when anything written down of both is not; else nobody can say. Names compare without
 * regard to case (common practice, no source). `compareExposure({exposureMs: 8}, {exposureMs: 8}).verdict` is 'same'.
 */
export function compareExposure(one: Exposure, other: Exposure): ExposureMatch {
  const plain = (value: string | number | undefined): string | undefined =>
    value === undefined ? undefined : String(value).trim().toLowerCase();
  const told = EXPOSURE_PARTS.map((part) => ({ part, own: plain(one[part]), its: plain(other[part]) }));
  const differs = told.filter(({ own, its }) => own !== undefined && its !== undefined && own !== its);
  const unknown = told.filter(
    ({ part, own, its }) =>
      (own === undefined) !== (its === undefined) || (part === 'exposureMs' && own === undefined && its === undefined),
  );
  return {
    verdict: differs.length > 0 ? 'differs' : unknown.length > 0 ? 'unknown' : 'same',
    differs: differs.map(({ part }) => part),
    unknown: unknown.map(({ part }) => part),
  };
}

const NEAREST: readonly ExposureMatch['verdict'][] = ['same', 'unknown', 'differs'];

/**
 * Of the pictures of controls, in the order in which they are preferred, the first taken at the same exposure as the case's;
 * without one, the first of which nobody can say; then the first that differs. Null when there is none.
 */
export function besideCase<P extends { exposure: Exposure }>(taken: Exposure, controls: readonly P[]): P | null {
  for (const verdict of NEAREST) {
    const found = controls.find(({ exposure }) => compareExposure(taken, exposure).verdict === verdict);
    if (found) return found;
  }
  return null;
}
