import type { FailureFacts, PassFacts } from '../controls/covered.js';
import type { PersonFacts } from '../competence/competence.js';
import type { CoveringResult, Use } from '../controls/coverage.js';
import type { ControlPlan } from '../controls/planned.js';
import type { InstrumentFacts } from '../instruments/instrument.js';
import type { ContainerFacts } from '../lot/facts.js';
import type { Protocol, Reagent } from '../protocol/protocol.js';
import type { RunEvent, RunPurpose } from '../run/events.js';
import type { Cytology } from '../specimen/cytology.js';
import type { TissueTest, TissueTimes } from '../specimen/tissue.js';
import type { Instant } from '../time/instant.js';
import type { GatePolicy } from './policy.js';

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
  /** What went through its baths in other runs and matters to what goes through them now. */
  bathGuests: BathGuest[];
  /** The plan for its controls, and what controls of other runs showed that may answer for it. */
  controls: ControlFacts;
  /** Failed controls that may cover the run, and the passing ones nearest to it. */
  controlFailures: { failures: FailureFacts[]; passes: PassFacts[] };
  /** Who worked on it or is named in it, with what was decided on their competence in the protocol. */
  people: PersonFacts[];
  /** The instruments of its bench place. */
  instruments: InstrumentFacts[];
  /** What the laboratory had tightened when the run started. */
  policy: GatePolicy;
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
  /** The specimen that it is or was cut or smeared from. */
  specimenId: string;
  /** Tells patients apart without telling who they are; null where nothing tells. */
  patient: string | null;
  /** Null for what is no cytology. */
  cytology: Cytology | null;
  /** The test that asks how the tissue was handled before; null when none does. */
  tissueTest: TissueTest | null;
  tissue: TissueTimes;
  /** Stains that it went through in earlier runs and that its protocol calls an end for some later test. */
  spentBy: SpentBy[];
}

/** An earlier stain after which a slide or piece is unfit for a later test, as its protocol says. */
export interface SpentBy {
  title: string;
  at: Instant;
  /** The later test. */
  use: string;
  statement: string;
  sources: string[];
}

/** What went through a bath in another run. */
export interface BathGuest {
  /** Container of the bath. */
  container: string;
  at: Instant;
  cytology: Cytology;
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
