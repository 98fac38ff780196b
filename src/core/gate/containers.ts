import { type ContainerFacts, whyUnusable } from '../lot/facts.js';
import type { UnusableReason } from '../lot/validity.js';
import type { Reagent } from '../protocol/protocol.js';
import { containersFor, type RunState, type StepState } from '../run/state.js';
import type { BenchStamp } from '../run/events.js';
import { epochMs, type Instant } from '../time/instant.js';
import { span } from '../time/span.js';
import { stains } from './cytology.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';
import { type GatePolicy, limitUnder } from './policy.js';

interface Uses {
  containers: ContainerFacts[];
  reagents: Reagent[];
  forPatients: boolean;
  policy: GatePolicy;
}

/**
 * What speaks against the containers that the steps up to `last` used. Each is judged when the step starts, when it ends,
 * and when it comes onto the tray between the two; one finding for each reason and container, at the first instant.
 */
export function containerFindings(state: RunState, last: number, uses: Uses): Finding[] {
  const findings = new Map<string, Finding>();
  for (const step of state.steps.slice(0, last + 1)) {
    for (const found of stepContainers(step, state, uses)) {
      if (!findings.has(found.id)) findings.set(found.id, found);
    }
  }
  const told = uses.containers.some(({ lot }) => lot.kit ?? lot.intendedUse);
  const inUse = told ? usedContainers(state, last, uses.containers) : [];
  for (const found of [...kitFindings(inUse), ...(uses.forPatients ? specificFindings(inUse) : [])]) {
    findings.set(found.id, found);
  }
  const recalled = uses.containers
    .filter(({ id }) => state.tray.some(({ container }) => container === id))
    .flatMap(recalledSince);
  return [...findings.values(), ...recalled.filter(({ id }) => !findings.has(id))];
}

/** The containers that the steps up to `last` really used. */
function usedContainers(state: RunState, last: number, containers: ContainerFacts[]): ContainerFacts[] {
  const ids = state.steps.slice(0, last + 1).flatMap(({ step, performances }) =>
    performances.flatMap(({ started, ended }) => {
      const { at } = started.stamp;
      return containersFor(state.tray, step, at, ended?.stamp.at ?? at).map(({ place }) => place.container);
    }),
  );
  return containers.filter(({ id }) => ids.includes(id));
}

function kitFindings(used: ContainerFacts[]): Finding[] {
  const kits = [...new Set(used.flatMap(({ lot }) => lot.kit?.name ?? []))];
  return kits.flatMap((name) => {
    const parts = used.filter(({ lot }) => lot.kit?.name === name);
    const lots = [...new Set(parts.flatMap(({ lot }) => lot.kit?.lot ?? []))];
    if (lots.length < 2) return [];
    const named = parts.map(({ label, lot }) => `${label} of kit lot ${lot.kit?.lot}`).join(', ');
    return [
      finding('kit-mixed', {
        about: name,
        what: `Parts of the kit ${name} were of different kit lots: ${named}.`,
        measured: lots.join(', '),
        against: 'one kit lot',
      }),
    ];
  });
}

function specificFindings(used: ContainerFacts[]): Finding[] {
  return used
    .filter(({ lot }) => lot.intendedUse === 'analyte specific')
    .map(({ id, label, lot }) =>
      finding('analyte-specific', {
        about: id,
        what: `${label} of lot ${lot.number} is an analyte specific reagent: the report must say that this laboratory developed the test and determined its performance.`,
      }),
    );
}

function stepContainers({ step, performances }: StepState, state: RunState, uses: Uses): Finding[] {
  const reagent = uses.reagents.find(({ code }) => code === step.reagent);
  if (!step.reagent || reagent?.kind === 'water') return [];
  return performances.flatMap(({ started, ended }) => {
    const from = started.stamp;
    const until = ended?.stamp ?? from;
    const inUse = containersFor(state.tray, step, from.at, until.at);
    if (inUse.length === 0 || inUse[0]?.from !== from.at) {
      const name = reagent?.name ?? step.reagent;
      return [
        finding('container-missing', {
          about: step.id,
          step,
          at: from.at,
          what: `No container of ${name} was on the tray for ${step.action}.`,
        }),
      ];
    }
    return inUse.flatMap(({ place, from: since, until: to }) => {
      const container = uses.containers.find(({ id }) => id === place.container);
      if (!container) return [];
      const first = since === from.at ? from : place.mark.stamp;
      const final = to === until.at ? until : { ...until, at: to };
      const reasons = reasonsAt(container, step.reagent as string, [first, final], uses.forPatients).map(
        ({ reason, at }) =>
          finding(reason.code, {
            about: container.id,
            at,
            what: `${step.action} used container ${container.label} of lot ${container.lot.number}: ${reason.message}.`,
            measured: at,
            ...(reason.against ? { against: reason.against } : {}),
          }),
      );
      return [...reasons, ...filterFindings(container, first.at, uses)];
    });
  });
}

function reasonsAt(
  container: ContainerFacts,
  reagent: string,
  stamps: BenchStamp[],
  forPatients: boolean,
): { reason: UnusableReason; at: string }[] {
  return stamps.flatMap((stamp) =>
    whyUnusable(container, reagent, stamp, forPatients).map((reason) => ({ reason, at: stamp.at })),
  );
}

/** A recall or rejection that came after the use speaks against it as well: the batch was the same. */
function recalledSince(container: ContainerFacts): Finding[] {
  const latest = container.lot.standing.at(-1);
  if (latest?.standing !== 'recalled' && latest?.standing !== 'rejected') return [];
  return [
    finding(`lot-${latest.standing}`, {
      about: container.id,
      at: latest.at,
      what: `Lot ${container.lot.number}, of which container ${container.label} was used, was ${latest.standing} afterwards.`,
      against: latest.at,
    }),
  ];
}

/** A bath of stain that was filtered longer ago than the laboratory's policy allows. */
function filterFindings({ id, label, reagent, bath }: ContainerFacts, at: Instant, uses: Uses): Finding[] {
  const hours = limitUnder('filter-due', 'hours', uses.policy);
  const last = bath?.filtered.filter((each) => each.at <= at).at(-1)?.at;
  if (hours === null || last === undefined || !stains(uses, reagent)) return [];
  const since = epochMs(at) - epochMs(last);
  if (since <= hours * HOUR_MS) return [];
  return [
    finding('filter-due', {
      about: id,
      at,
      what: `Bath ${label} was made up or filtered last at ${last}, longer ago than this laboratory allows.`,
      measured: span(since),
      against: `at most ${span(hours * HOUR_MS)}`,
    }),
  ];
}

const HOUR_MS = 3_600_000;
