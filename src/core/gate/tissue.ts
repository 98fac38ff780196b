import type { StainCategory } from '../protocol/protocol.js';
import { between, TISSUE_WINDOWS } from '../specimen/tissue.js';
import { span } from '../time/span.js';
import type { GateSubject, RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';
import { limitUnder } from './policy.js';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** Stains by which the tests with tissue windows are done. */
const WINDOWED: readonly StainCategory[] = ['immunohistochemical', 'in-situ-hybridisation'];

/** The later test that a stain of a category is, in the words in which protocols say what they leave fit. */
const TEST_OF: Partial<Record<StainCategory, string>> = {
  routine: 'H&E',
  immunohistochemical: 'immunohistochemistry',
  'in-situ-hybridisation': 'DNA and FISH',
};

/**
 * What speaks against the tissue itself for this stain: too long before fixation, too short or too long in it, another
 * fixative, times that nobody recorded, and an earlier stain after which it is unfit. Limits include their ends.
 */
export function tissueFindings(subject: GateSubject, { protocol, policy }: RunFacts): Finding[] {
  return [
    ...(subject.tissueTest && WINDOWED.includes(protocol.category) ? windowFindings(subject, policy) : []),
    ...unfitFindings(subject, TEST_OF[protocol.category]),
  ];
}

function windowFindings(subject: GateSubject, policy: RunFacts['policy']): Finding[] {
  const { id, label, tissue, tissueTest } = subject;
  if (tissueTest === null) return [];
  const { title, fixative } = TISSUE_WINDOWS[tissueTest];
  const of = { about: id, subjectId: id };
  const findings: Finding[] = [];
  const cold = between(tissue.takenAt, tissue.fixedFrom);
  const fixed = between(tissue.fixedFrom, tissue.fixedUntil);
  const longestCold = limitUnder('cold-ischaemia-long', 'minutes', policy) ?? Infinity;
  const shortest = limitUnder('fixation-short', 'hours', policy) ?? 0;
  const longest = limitUnder('fixation-long', 'hours', policy) ?? Infinity;
  const lacking = [
    ...(tissue.takenAt === null ? ['when it left the body'] : []),
    ...(tissue.fixedFrom === null ? ['when it went into fixative'] : []),
    ...(tissue.fixedUntil === null ? ['when it came out'] : []),
  ];
  if (lacking.length > 0) {
    const what = `Of ${label} (${title}) nobody recorded ${lacking.join(' nor ')}.`;
    findings.push(finding('tissue-times-unknown', { ...of, what }));
  }
  if (cold !== null && cold > longestCold * MINUTE_MS) {
    findings.push(
      finding('cold-ischaemia-long', {
        ...of,
        at: tissue.fixedFrom,
        what: `${label} (${title}) lay too long before it went into fixative.`,
        measured: span(cold),
        against: `at most ${span(longestCold * MINUTE_MS)}`,
      }),
    );
  }
  if (fixed !== null && fixed < shortest * HOUR_MS) {
    findings.push(
      finding('fixation-short', {
        ...of,
        at: tissue.fixedUntil,
        what: `${label} (${title}) was too short in fixative.`,
        measured: span(fixed),
        against: `at least ${span(shortest * HOUR_MS)}`,
      }),
    );
  }
  if (fixed !== null && fixed > longest * HOUR_MS) {
    findings.push(
      finding('fixation-long', {
        ...of,
        at: tissue.fixedUntil,
        what: `${label} (${title}) was too long in fixative.`,
        measured: span(fixed),
        against: `at most ${span(longest * HOUR_MS)}`,
      }),
    );
  }
  if (tissue.fixative !== null && tissue.fixative !== fixative) {
    findings.push(
      finding('fixative-other', {
        ...of,
        at: tissue.fixedFrom,
        what: `${label} (${title}) was fixed in ${tissue.fixative}.`,
        measured: tissue.fixative,
        against: fixative,
      }),
    );
  }
  return findings;
}

function unfitFindings({ id, label, spentBy }: GateSubject, test: string | undefined): Finding[] {
  const spent = spentBy.find(({ use }) => use === test);
  if (!spent) return [];
  const sources = spent.sources.length > 0 ? spent.sources.join(', ') : 'no source named';
  return [
    finding('made-unfit', {
      about: id,
      subjectId: id,
      at: spent.at,
      what: `${label} went through ${spent.title} before, after which ${spent.use} is: ${spent.statement} (${sources}).`,
      measured: spent.title,
    }),
  ];
}
