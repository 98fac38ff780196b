import { Refusal } from '../refusal.js';
import type { EvidenceKind, LotEvidence } from './lot.js';

type Rests = 'fileId' | 'runId' | 'studyId';

const CALLED: Record<Rests, string> = {
  fileId: 'the file that was kept',
  runId: 'the run in which the control was stained',
  studyId: 'the comparison with the lot before',
};

/** What each kind of evidence must name, one of them at least; an inspection is its own evidence. */
const RESTS_ON: Record<EvidenceKind, readonly Rests[]> = {
  certificate: ['fileId'],
  inspection: [],
  'acceptance control': ['runId'],
  'parallel test': ['runId', 'studyId'],
  verification: ['fileId', 'studyId'],
};

/**
 * Refuses evidence that names nothing it could rest on (ISO 15189:2022 6.6.7: evidence of acceptance). `{kind: 'certificate'}`
 * without a file is refused, `{kind: 'inspection'}` is not.
 */
export function checkEvidence(evidence: LotEvidence): void {
  const wanted = RESTS_ON[evidence.kind];
  if (wanted.length === 0 || wanted.some((field) => evidence[field] !== undefined)) return;
  const named = wanted.map((field) => `${field} (${CALLED[field]})`).join(' or ');
  const message = `evidence of the kind ${evidence.kind} names ${named}`;
  throw new Refusal('invalid', 'evidence-missing', message, [{ at: `evidence.${wanted[0]}`, message }]);
}
