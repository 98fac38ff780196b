import { stepUses } from '../run/bath-uses.js';
import type { RunState } from '../run/state.js';
import { CONTAMINATING, type Cytology } from '../specimen/cytology.js';
import type { BathGuest, GateSubject, RunFacts } from './facts.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

/**
 * What speaks against what was stained together up to the step `last`, and against what the baths had held before
 * (42 CFR 493.1274(b)); and against several patients on one aliquot of a fresh dye, where the protocol limits them.
 */
export function cytologyFindings(facts: RunFacts, state: RunState, last: number): Finding[] {
  const patients = facts.subjects.filter(({ role }) => role === 'patient');
  return [
    ...papanicolaouFindings(facts, patients),
    ...togetherFindings(facts, patients),
    ...bathFindings(facts, patients, state, last),
    ...aliquotFindings(facts, patients),
  ];
}

/** Only the routine stain of a slide must be a Papanicolaou; an immunostain beside it is none. */
function papanicolaouFindings({ protocol }: RunFacts, patients: readonly GateSubject[]): Finding[] {
  if (protocol.category !== 'routine' || protocol.cytology?.papanicolaou) return [];
  return patients
    .filter(({ cytology }) => cytology === 'gynaecological')
    .map(({ id, label }) =>
      finding('gyn-not-papanicolaou', {
        about: id,
        subjectId: id,
        what: `${label} is gynaecological, and ${protocol.title} is not marked as a Papanicolaou method.`,
      }),
    );
}

function togetherFindings({ protocol }: RunFacts, patients: readonly GateSubject[]): Finding[] {
  const findings: Finding[] = [];
  const gyn = patients.filter(({ cytology }) => cytology === 'gynaecological');
  const other = patients.filter(({ cytology }) => cytology !== null && cytology !== 'gynaecological');
  if (gyn.length > 0 && other.length > 0 && protocol.cytology?.separation === undefined) {
    findings.push(
      finding('gyn-beside-other', {
        about: 'run',
        what: `Gynaecological specimens were stained with others, and ${protocol.title} states nothing that keeps them apart.`,
        measured: `${named(gyn)} beside ${named(other)}`,
        against: 'each in runs of their own',
      }),
    );
  }
  const contaminating = patients.filter(({ cytology }) => cytology === CONTAMINATING);
  const beside = patients.filter(({ specimenId }) => contaminating.some((each) => each.specimenId !== specimenId));
  if (contaminating.length > 0 && beside.length > 0) {
    findings.push(
      finding('contaminating-beside-other', {
        about: 'run',
        what: `${named(contaminating)}, likely to contaminate, was stained beside another specimen.`,
        measured: named(patients),
        against: 'a run of its own',
      }),
    );
  }
  return findings;
}

/** One finding for each rule and bath, at the first use that follows such a guest with nothing renewed between them. */
function bathFindings(facts: RunFacts, patients: readonly GateSubject[], state: RunState, last: number): Finding[] {
  if (facts.bathGuests.length === 0) return [];
  const uses = stepUses({ ...state, steps: state.steps.slice(0, last + 1) });
  const kinds = patients.flatMap(({ cytology }) => cytology ?? []);
  const found = new Map<string, Finding>();
  for (const { container, at } of uses) {
    const bath = facts.containers.find(({ id }) => id === container);
    if (!bath?.bath || !stains(facts, bath.reagent)) continue;
    const renewed = bath.bath.filtered.filter((each) => each.at <= at).at(-1)?.at ?? '';
    const guests = facts.bathGuests.filter(
      (each) => each.container === container && each.at < at && each.at >= renewed,
    );
    for (const each of guestFindings(guests, kinds, facts, { container, label: bath.label, at })) {
      if (!found.has(each.id)) found.set(each.id, each);
    }
  }
  return [...found.values()];
}

function guestFindings(
  guests: readonly BathGuest[],
  kinds: readonly Cytology[],
  { protocol }: RunFacts,
  { container, label, at }: { container: string; label: string; at: string },
): Finding[] {
  const contaminating = guests.find(({ cytology }) => cytology === CONTAMINATING);
  const foreign = guests.find(({ cytology }) =>
    kinds.some((kind) => (kind === 'gynaecological') !== (cytology === 'gynaecological')),
  );
  const details = { about: container, at, against: 'filtered or changed in between' };
  return [
    ...(contaminating
      ? [
          finding('stain-not-renewed', {
            ...details,
            what: `Since ${contaminating.at} a contaminating specimen had gone through ${label}, and it was neither filtered nor changed before this use.`,
            measured: contaminating.at,
          }),
        ]
      : []),
    ...(foreign && protocol.cytology?.separation === undefined
      ? [
          finding('gyn-beside-other', {
            ...details,
            what: `${label} had held ${foreign.cytology === 'gynaecological' ? 'gynaecological' : 'other'} cytology since ${foreign.at}, and was neither filtered nor changed before this use.`,
            measured: foreign.at,
          }),
        ]
      : []),
  ];
}

/** The rule speaks of stains; water, alcohols and clearing agents are left to the laboratory's own procedure. */
export function stains({ reagents }: Pick<RunFacts, 'reagents'>, reagent: string): boolean {
  return reagents.some(({ code, kind }) => code === reagent && kind === 'dye');
}

function aliquotFindings({ protocol, startedAt }: RunFacts, patients: readonly GateSubject[]): Finding[] {
  const most = protocol.change?.maxPatientsPerAliquot;
  if (most === undefined) return [];
  const known = new Set(patients.flatMap(({ patient }) => patient ?? []));
  const unknown = new Set(patients.flatMap(({ patient, specimenId }) => (patient === null ? [specimenId] : [])));
  const against = most === 1 ? 'one patient for each aliquot' : `${most} patients for each aliquot`;
  if (known.size > most) {
    const what = `Specimens of ${known.size} patients were stained from one tray; ${protocol.title} allows ${against}.`;
    return [finding('aliquot-shared', { about: 'run', at: startedAt, what, measured: named(patients), against })];
  }
  if (known.size + unknown.size <= most) return [];
  const what = `Nothing tells whether ${named(patients)} are of one patient; ${protocol.title} allows ${against}.`;
  return [finding('aliquot-undecided', { about: 'run', at: startedAt, what, measured: named(patients), against })];
}

function named(subjects: readonly GateSubject[]): string {
  return subjects.map(({ label }) => label).join(', ');
}
