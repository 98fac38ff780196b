import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { CompetenceDto, CompetenceListDto, NewCompetenceDto } from '../../contract/competence.dto.js';
import { assessmentTerm, checkAssessment, competenceAt, letsWork } from '../../core/competence/competence.js';
import { inForce } from '../../core/protocol/lifecycle.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { endOfDay, endOfLife } from '../../core/time/zone.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { assessedFrom, firstRuns } from '../../store/questions/competence.js';
import { ALL_KNOWN } from '../../store/questions/containers.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { knownRevisions } from '../../store/questions/revisions.js';
import { CompetenceRow } from '../../store/rows/competence.entity.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

/** Only who works at a bench or signs results needs to be competent in protocols. */
const AT_THE_BENCH = ['technician', 'releaser'] as const;

@Injectable()
export class CompetenceService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
  ) {}

  list({ laboratoryId }: Acting): Promise<CompetenceListDto> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const protocols = await protocolsInForce(view, now);
      const people = (await view.all(PersonRow)).filter(({ roles }) =>
        AT_THE_BENCH.some((role) => roles.includes(role)),
      );
      const acts = await view.all(CompetenceRow, {}, { order: { seq: 'DESC', id: 'DESC' } });
      const firsts = await firstRuns(view);
      return {
        protocols,
        people: people.map(({ id, name, disabled }) => ({ id, name, disabled })),
        items: people.flatMap(({ id: personId }) =>
          protocols.map(({ protocolId, assessedFrom }): CompetenceDto => {
            const own = acts.filter((act) => act.personId === personId && act.protocolId === protocolId);
            return {
              personId,
              protocolId,
              standing: competenceAt([...own].reverse(), now, assessedFrom),
              until: own[0]?.until ?? null,
              firstRunAt: firsts.get(`${personId} ${protocolId}`) ?? null,
              acts: own.map(({ id, decision, at, revision, until, elements, reason, signature }) => ({
                id,
                decision,
                at,
                revision,
                until,
                elements,
                reason,
                signature,
              })),
            };
          }),
        ),
      };
    });
  }

  /** Decides on a person's competence in a protocol, signed; nobody decides on their own. */
  async decide(acting: Acting, personId: string, asked: NewCompetenceDto, key: string | undefined): Promise<void> {
    const { protocolId, decision, elements, reason, password } = asked;
    checkAssessment(decision, elements);
    const signer = await this.signing.confirm(acting, password);
    if (signer.personId === personId) {
      throw new Refusal('forbidden', 'own-competence', 'Nobody decides on their own competence; ask another.');
    }
    await this.store.change(
      acting,
      'competence.decided',
      async (unit) => {
        const { name } = await unit.need(PersonRow, { id: personId }, `person ${personId}`);
        const protocol = (await protocolsInForce(unit, unit.at)).find((each) => each.protocolId === protocolId);
        if (!protocol) {
          const message = `No revision of "${protocolId}" is in force; approve one first.`;
          throw new Refusal('conflict', 'not-in-force', message, [{ at: 'protocolId', message }]);
        }
        const until = await termOf(unit, personId, asked);
        const { revision } = protocol;
        const record = { personId, protocolId, decision, at: unit.at, revision, until, elements, reason };
        const signature = signatureOf(signer, letsWork(decision) ? 'approval' : 'responsibility', record, unit.at);
        const decided = await unit.all(CompetenceRow, { personId, protocolId }, { order: { seq: 'DESC' }, take: 1 });
        await unit.insert(CompetenceRow, { ...record, elements: elements.map((each) => ({ ...each })), signature });
        unit.about('person', personId, { protocol: protocolId, decision, ...(until !== null && { until }) });
        if (decision === 'competent') return;
        await questionReleases(
          unit,
          {
            cause: 'competence decided',
            causeId: personId,
            reason: `${name} in ${protocol.title}: ${decision}. ${reason}`,
            path: '/people/competence',
          },
          { person: personId, protocol: protocolId, since: decided[0]?.at ?? null },
        );
      },
      onceOf(key, { personId, ...asked }),
    );
  }
}

/** The protocols that may be run now, by title. */
async function protocolsInForce(view: View, now: Instant): Promise<CompetenceListDto['protocols']> {
  const all = await knownRevisions(view);
  const current = all.filter((revision) =>
    inForce(
      revision,
      all.filter(({ row }) => row.protocolId === revision.row.protocolId),
      now,
    ),
  );
  const found: CompetenceListDto['protocols'] = [];
  for (const { row } of current) {
    const { protocolId, title, number } = row;
    found.push({ protocolId, title, revision: number, assessedFrom: await assessedFrom(view, row, ALL_KNOWN) });
  }
  return found.sort((a, b) => a.title.localeCompare(b.title));
}

/** The first instant at which a decision no longer counts: the day asked for, at most the published term. */
async function termOf(
  unit: Unit,
  personId: string,
  { protocolId, decision, lastDay }: NewCompetenceDto,
): Promise<Instant | null> {
  const { zone } = await needLaboratory(unit);
  const asked = lastDay === undefined ? null : endOfDay(lastDay, zone);
  if (asked !== null && asked <= unit.at) throw wrongDay(`${lastDay} is over; give a later day.`);
  if (decision !== 'competent') return asked;
  const first = (await firstRuns(unit)).get(`${personId} ${protocolId}`);
  const term = assessmentTerm(unit.at, first === undefined ? null : endOfLife(first, 'P12M', zone));
  const longest = endOfLife(unit.at, term, zone);
  if (asked === null) return longest;
  if (asked <= longest) return asked;
  throw wrongDay(
    `An assessment lasts ${term === 'P6M' ? 'six months in the first year of work on patients’ specimens' : 'a year'} at most (42 CFR 493.1413(b)(9)); ${lastDay} is later.`,
  );
}

function wrongDay(message: string): Refusal {
  return new Refusal('invalid', 'wrong-day', message, [{ at: 'lastDay', message }]);
}
