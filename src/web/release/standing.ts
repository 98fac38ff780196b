import type { Finding } from '../../core/gate/finding.js';
import type { Judgement } from '../../core/gate/judge.js';
import { POINT_STANDINGS, type PointStanding, type StoodSubject } from '../../core/release/standing.js';

/** How many specimens or slides stand how at a release point, and the rules that hold some of them. */
export interface PointCount {
  point: string;
  title: string;
  counts: [PointStanding, number][];
  heldBy: string[];
}

/** In the order of the protocol. */
export function pointCounts(subjects: readonly StoodSubject[]): PointCount[] {
  return (subjects[0]?.points ?? []).map(({ point, title }) => {
    const own = subjects.flatMap(({ points }) => points.filter((each) => each.point === point));
    const counts = POINT_STANDINGS.map((standing): [PointStanding, number] => [
      standing,
      own.filter((each) => each.standing === standing).length,
    ]);
    return {
      point,
      title,
      counts: counts.filter(([, count]) => count > 0),
      heldBy: [...new Set(own.flatMap(({ heldBy }) => heldBy))],
    };
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
