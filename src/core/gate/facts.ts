import type { FailureFacts, PassFacts } from '../controls/covered.js';
import type { PersonFacts } from '../competence/competence.js';
import type { CoveringResult, Use } from '../controls/coverage.js';
import type { ControlPlan } from '../controls/planned.js';
import type { InstrumentFacts } from '../instruments/instrument.js';
import type { ContainerFacts } from '../lot/facts.js';
import type { Protocol, Reagent } from '../protocol/protocol.js';
import type { RunEvent, RunPurpose } from '../run/events.js';
import type { Instant } from '../time/instant.js';

/** Everything that the gate looks at, from the record up to one number. It takes no clock. */
export interface RunFacts {
  /** Facts recorded after this number are not among these. */
  judgedTo: number;
  runId: string;
  purpose: RunPurpose;
  startedAt: Instant;
  /** `inForce` tells whether it was approved, effective and not superseded when the run started. */
  revision: {
    number: number;
    inForce: boolean;
    /** Lowest revision number on which an assessment still counts. */ assessedFrom: number;
  };
  protocol: Protocol;
  /** Those of the catalogue that the protocol's steps name. */
  reagents: Reagent[];
  subjects: GateSubject[];
  events: RunEvent[];
  /** Every container that was scanned on the run's tray. */
  containers: ContainerFacts[];
  /** The plan for its controls, and what controls of other runs showed that may answer for it. */
  controls: ControlFacts;
  /** Failed controls that may cover the run, and the passing ones nearest to it. */
  controlFailures: { failures: FailureFacts[]; passes: PassFacts[] };
  /** Who worked on it or is named in it, with what was decided on their competence in the protocol. */
  people: PersonFacts[];
  /** The instruments of its bench place. */
  instruments: InstrumentFacts[];
  /** Rate by which a device's steady clock may be off. */
  driftPpm: number;
}

export interface GateSubject {
  /** The specimen's, slide's or control material's id. */
  id: string;
  label: string;
  kind: 'specimen' | 'slide' | 'control';
  role: 'patient' | 'control';
  /** No second piece can be had. */
  irreplaceable: boolean;
  /** Which control requirement it answers. */
  control: string | null;
}

/** What the gate looks at of controls. */
export interface ControlFacts {
  /** In force when the run started, with what the published rules ask beyond it. */
  plan: ControlPlan;
  revisionId: string;
  station: string;
  /** The laboratory's local day, ISO week and month on which the run started. */
  day: string;
  week: string;
  month: string;
  /** Keys of its patients; empty unless a patient is one use. */
  patients: string[];
  /** Results of the same revision in other runs, as far back as a clock of the plan looks. */
  results: CoveringResult[];
  /** Uses since the oldest of them, its own included; empty unless a clock counts slides. */
  uses: Pick<Use, 'runId' | 'at' | 'slides'>[];
}
