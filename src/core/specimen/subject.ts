import type { LabelKind } from '../gs1/label.js';
import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';

export const SUBJECT_KINDS = ['specimen', 'slide', 'control'] as const;
export type SubjectKind = (typeof SUBJECT_KINDS)[number];

/** What tells whose it is. */
export const IDENTIFIER_KINDS = ['patient number', 'patient name', 'birth date'] as const;
export type IdentifierKind = (typeof IDENTIFIER_KINDS)[number];

/** The labels that each kind may carry, the usual one first; control material may be a piece or a slide. */
export const SUBJECT_LABELS: Record<SubjectKind, readonly [LabelKind, ...LabelKind[]]> = {
  specimen: ['S'],
  slide: ['L'],
  control: ['S', 'L'],
};

/** Refuses to register what cannot be: a time in the future, control material with a patient, a piece of a slide. */
export function checkSubject(
  subject: {
    kind: SubjectKind;
    takenAt: Instant | null;
    identifiers: number;
    parent: SubjectKind | null;
    /** Something is said that only a patient's can be: its cytology or a planned test. */
    ofPatient: boolean;
  },
  now: Instant,
): void {
  const { kind, takenAt, identifiers, parent, ofPatient } = subject;
  const refuse = (code: string, at: string, message: string): never => {
    throw new Refusal('invalid', code, message, [{ at, message }]);
  };
  if (takenAt !== null && takenAt > now) {
    refuse('future', 'takenAt', `takenAt ${takenAt} lies in the future; it is ${now} now.`);
  }
  if (kind === 'control' && identifiers > 0) {
    refuse(
      'control-with-patient',
      'identifiers',
      'Control material carries no patient; register a specimen or a slide.',
    );
  }
  if (kind === 'control' && ofPatient) {
    refuse('control-as-patient', 'kind', 'Control material is no cytology and has no planned tests; leave both out.');
  }
  if (parent === 'slide') {
    refuse('piece-of-slide', 'parentId', 'Nothing is cut from a slide; name the specimen that both come from.');
  }
  if (kind === 'specimen' && parent !== null) {
    refuse(
      'specimen-with-parent',
      'parentId',
      'A specimen comes from the body; register what is cut from it as a slide.',
    );
  }
  if (kind === 'slide' && parent === 'control') {
    refuse(
      'patient-slide-of-control',
      'parentId',
      'A slide of control material is itself control material; register it as a control.',
    );
  }
}
