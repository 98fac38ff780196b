import type { Api } from '../client.js';
import type { NewCompetenceDto } from '../contract/competence.dto.js';
import type { NewInstrumentDto } from '../contract/instruments.dto.js';
import type { PersonDto } from '../contract/people.dto.js';
import { ASSESSMENT_ELEMENTS, type CompetenceDecision } from '../core/competence/competence.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { type ApprovedProtocol, LABORATORY, PASSWORD, PEOPLE, STATIONS } from './laboratory.js';

const DAY_MS = 86_400_000;

const DECISIONS: { who: keyof typeof PEOPLE; protocol: ApprovedProtocol; decision: CompetenceDecision }[] = [
  { who: 'technician', protocol: 'ao-fresh', decision: 'competent' },
  { who: 'technician', protocol: 'he-harris-regressive', decision: 'competent' },
  { who: 'technician', protocol: 'ihc-dab', decision: 'competent' },
  { who: 'manager', protocol: 'he-harris-regressive', decision: 'competent' },
  { who: 'manager', protocol: 'ihc-dab', decision: 'in training' },
];

const INSTRUMENTS: (NewInstrumentDto & { daysLeft: number })[] = [
  { code: 'TI-01', name: 'Bench timer', kind: 'timer', calibrated: true, station: STATIONS.bedside, daysLeft: 210 },
  {
    code: 'TH-04',
    name: 'Bath thermometer',
    kind: 'thermometer',
    calibrated: true,
    station: STATIONS.routine,
    daysLeft: 24,
  },
  {
    code: 'PI-11',
    name: 'Pipette 20 to 200 uL',
    kind: 'pipette',
    calibrated: true,
    station: STATIONS.special,
    daysLeft: 92,
  },
];

/** The director assesses who works at the benches, and the manager enters what they measure with. */
export async function furnishPeople(director: Api, manager: Api, now: Instant): Promise<void> {
  const people = await director.get<PersonDto[]>('/people');
  for (const { who, protocol, decision } of DECISIONS) {
    const id = people.find(({ login }) => login === PEOPLE[who].login)?.id;
    await director.post(`/people/${id}/competence`, {
      protocolId: protocol,
      decision,
      elements: decision === 'competent' ? seen() : [],
      reason: 'Invented: assessed at the bench before the laboratory opened.',
      password: PASSWORD,
    } satisfies NewCompetenceDto);
  }
  for (const { daysLeft, ...instrument } of INSTRUMENTS) {
    const { id } = await manager.post<{ id: string }>('/instruments', instrument);
    await manager.post(`/instruments/${id}/acts`, {
      kind: 'calibrated',
      passed: true,
      lastDay: localDay(plusMs(now, daysLeft * DAY_MS), LABORATORY.zone),
      note: 'Invented: compared with the reference of the hospital’s workshop.',
    });
  }
}

function seen(): NewCompetenceDto['elements'] {
  return ASSESSMENT_ELEMENTS.map((element) => ({ element, evidence: 'Invented: seen and found right.' }));
}
