import type { Judgement, PointJudgement } from '../gate/judge.js';
import { holding } from './release.js';

/** Where one specimen or slide stands at one release point, the most pressing first. */
export const POINT_STANDINGS = ['clear', 'held', 'not reached', 'released', 'closed'] as const;
export type PointStanding = (typeof POINT_STANDINGS)[number];

/** What left, as far as a standing asks. */
export interface Left {
  subjectId: string;
  point: string;
}

export interface StoodPoint {
  point: string;
  title: string;
  standing: PointStanding;
  /** Codes of the rules that hold it, each once; empty unless it is held. */
  heldBy: string[];
}

export interface StoodSubject {
  subjectId: string;
  label: string;
  /** In the order of the protocol. */
  points: StoodPoint[];
}

/** Findings with which nothing of a run will ever be released. */
const CLOSING = ['run-abandoned', 'not-for-patients'];

/**
 * Whether a specimen or slide has left at a point, could leave now, is held, is not there yet, or never will. A point whose
 * one finding is 'point-not-reached' is 'not reached' rather than 'held'.
 */
export function pointStanding(
  { point, verdict, findings }: PointJudgement,
  subjectId: string,
  releases: readonly Left[],
): PointStanding {
  if (releases.some((release) => release.subjectId === subjectId && release.point === point)) return 'released';
  if (findings.some(({ rule }) => CLOSING.includes(rule))) return 'closed';
  if (findings.some(({ rule }) => rule === 'point-not-reached')) return 'not reached';
  return verdict;
}

/**
 * Where each specimen or slide of a run stands at each release point, with what holds it. A slide too short in the dye is
 * 'held' by `['step-short']`.
 */
export function standings({ subjects }: Judgement, releases: readonly Left[]): StoodSubject[] {
  return subjects.map(({ subjectId, label, points }) => ({
    subjectId,
    label,
    points: points.map((each) => {
      const standing = pointStanding(each, subjectId, releases);
      const rules = standing === 'held' ? holding(each.findings).map(({ rule }) => rule) : [];
      return { point: each.point, title: each.title, standing, heldBy: [...new Set(rules)] };
    }),
  }));
}
