import type { LotStanding } from '../lot/lot.js';
import type { ContainerCondition } from '../lot/receive.js';
import type { Instant } from '../time/instant.js';

/** A container's content went into a lot that was made here, or topped one up. */
export interface Made {
  /** The container that was taken from. */
  containerId: string;
  /** The lot that was made. */
  lotId: string;
  at: Instant;
}

/** A container that a trace came through. */
export interface TracedContainer {
  id: string;
  label: string;
  state: ContainerCondition;
  /** Runs on whose tray it stood since what is traced was in it. */
  runs: number;
}

/** A lot that a trace came through, with its containers. */
export interface TracedLot {
  id: string;
  /** Code of its reagent. */
  reagent: string;
  number: string;
  origin: 'supplied' | 'prepared';
  source: string;
  receivedAt: Instant;
  standing: LotStanding;
  containers: TracedContainer[];
  /** What it was made of, as far as that is on the trace. */
  madeOf: Made[];
}

/** One step of the way from a container to where the trace began. */
export interface PathStep {
  containerId: string;
  lotId: string;
}

/**
 * The shortest way from a container back to one of the lots where a trace began: the container itself first, then the one
 * that its lot was made of, and so on; null when none leads there. Of lot A, prepared from bottle b of lot B, and a trace
 * that began at B, the container a of A gives `[{a, A}, {b, B}]`.
 */
export function pathBack(lots: readonly TracedLot[], roots: readonly string[], containerId: string): PathStep[] | null {
  const lotOf = new Map(lots.flatMap((lot) => lot.containers.map(({ id }) => [id, lot] as const)));
  let ways: PathStep[][] = [[]];
  let ends = [containerId];
  const seen = new Set<string>();
  while (ends.length > 0) {
    const next: PathStep[][] = [];
    const nextEnds: string[] = [];
    for (const [n, end] of ends.entries()) {
      const lot = lotOf.get(end);
      if (!lot || seen.has(end)) continue;
      seen.add(end);
      const way = [...(ways[n] as PathStep[]), { containerId: end, lotId: lot.id }];
      if (roots.includes(lot.id)) return way;
      for (const made of lot.madeOf) {
        next.push(way);
        nextEnds.push(made.containerId);
      }
    }
    ways = next;
    ends = nextEnds;
  }
  return null;
}

/** A way back in words: 'P-2001 of preparation QUILL-9, made of C-1001 of lot TW-26-01'. */
export function pathWords(lots: readonly TracedLot[], path: readonly PathStep[]): string {
  return path
    .map(({ containerId, lotId }) => {
      const lot = lots.find(({ id }) => id === lotId);
      const label = lot?.containers.find(({ id }) => id === containerId)?.label ?? containerId;
      const kind = lot?.origin === 'prepared' ? 'preparation' : 'lot';
      return `${label} of ${kind} ${lot?.number ?? lotId}`;
    })
    .join(', made of ');
}
