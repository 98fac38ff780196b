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
