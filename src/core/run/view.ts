import type { PlannedControl } from '../controls/planned.js';
import type { ContainerFacts } from '../lot/facts.js';
import type { Protocol } from '../protocol/protocol.js';
import type { Instant } from '../time/instant.js';
import type { RunEvent, RunPurpose, RunSubject } from './events.js';

/** A run as pages and the command line see it: its revision, subjects, events and the containers on its tray. */
export interface RunView {
  id: string;
  station: string;
  purpose: RunPurpose;
  startedAt: Instant;
  personId: string;
  revision: { id: string; number: number; content: Protocol };
  subjects: (RunSubject & {
    label: string;
    description: string;
    kind: 'specimen' | 'slide' | 'control';
    takenAt: Instant | null;
    /** No second piece can be had. */
    irreplaceable: boolean;
  })[];
  /** The controls that it may carry, as its plan had them when it started. */
  controls: PlannedControl[];
  events: RunEvent[];
  containers: ContainerFacts[];
  /** What was said, by the id that a spoken answer carries. */
  words: Record<string, string>;
  /** Names of the people who appear in the events. */
  people: Record<string, string>;
}
