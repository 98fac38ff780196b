import type { Finding } from '../../core/gate/finding.js';
import type { Judgement, PointJudgement } from '../../core/gate/judge.js';
import type { Release } from '../api.paths.js';

/** Where one specimen or slide stands at one release point, the most pressing first. */
export const POINT_STANDINGS = ['clear', 'held', 'not reached', 'released', 'closed'] as const;
export type PointStanding = (typeof POINT_STANDINGS)[number];

/** Findings with which nothing of a run will ever be released. */
const CLOSING = ['run-abandoned', 'not-for-patients'];

/** Whether it has left, could leave now, is held, is not there yet, or never will. */
export function pointStanding(
  { point, verdict, findings }: PointJudgement,
  subjectId: string,
  releases: readonly Release[],
): PointStanding {
  if (releases.some((release) => release.subjectId === subjectId && release.point === point)) return 'released';
  if (findings.some(({ rule }) => CLOSING.includes(rule))) return 'closed';
  if (findings.some(({ rule }) => rule === 'point-not-reached')) return 'not reached';
  return verdict;
}

/** What holds a point: every stop and caution that is not settled. */
export function holding(findings: readonly Finding[]): Finding[] {
  return findings.filter(({ weight, settled }) => weight !== 'note' && !settled);
}

/** How many specimens or slides stand how at each release point, in the order of the protocol. */
export interface PointCount {
  point: string;
  title: string;
  counts: [PointStanding, number][];
}

export function pointCounts({ subjects }: Judgement, releases: readonly Release[]): PointCount[] {
  return (subjects[0]?.points ?? []).map(({ point, title }) => {
    const standings = subjects.flatMap(({ subjectId, points }) => {
      const own = points.find((each) => each.point === point);
      return own ? [pointStanding(own, subjectId, releases)] : [];
    });
    const counts = POINT_STANDINGS.map((standing): [PointStanding, number] => [
      standing,
      standings.filter((each) => each === standing).length,
    ]);
    return { point, title, counts: counts.filter(([, count]) => count > 0) };
  });
}

/** The most pressing standing of a run; one without a patient's specimen has nothing to release. */
export function runStanding(points: readonly PointCount[]): PointStanding {
  const found = points.flatMap(({ counts }) => counts.map(([standing]) => standing));
  return POINT_STANDINGS.find((standing) => found.includes(standing)) ?? 'closed';
}

/** Every finding of a run once, weightiest first, whichever release points it speaks against. */
export function allFindings({ subjects }: Judgement): Finding[] {
  const order = ['stop', 'caution', 'note'];
  const found = new Map<string, Finding>();
  for (const { findings } of subjects.flatMap(({ points }) => points)) {
    for (const finding of findings) if (!found.has(finding.id)) found.set(finding.id, finding);
  }
  return [...found.values()].sort(
    (a, b) => Number(a.settled) - Number(b.settled) || order.indexOf(a.weight) - order.indexOf(b.weight),
  );
}
