import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { formProblems } from '../../contract/form.js';
import { ProtocolDto } from '../../contract/protocol.dto.js';
import type {
  ApprovalDto,
  ComparisonDto,
  DecisionDto,
  NewDraftDto,
  NewDraftFromTextDto,
  ProtocolCheckDto,
  ProtocolFaultsDto,
  ProtocolSummaryDto,
  RevisionSummaryDto,
  RevisionDto,
  SetFiguresDto,
} from '../../contract/protocols.dto.js';
import { checkProtocol } from '../../core/protocol/check.js';
import type { Problem } from '../../core/protocol/problem.js';
import { diffProtocols } from '../../core/protocol/compare.js';
import { contentHash } from '../../core/protocol/content.js';
import { confirmFigures, openProposals } from '../../core/protocol/figures.js';
import {
  checkApproval,
  checkDecision,
  decisionRecord,
  effectiveInstant,
  inForce,
  type RevisionActData,
  type RevisionState,
  revisionState,
} from '../../core/protocol/lifecycle.js';
import type { Protocol, Reagent } from '../../core/protocol/protocol.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { namesOf } from '../../store/questions/people.js';
import { catalogue } from '../../store/questions/reagents.js';
import type { Source } from '../../core/protocol/catalogue.js';
import { type KnownRevision, knownRevisions } from '../../store/questions/revisions.js';
import { RevisionActRow, RevisionRow } from '../../store/rows/protocols.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';
import { readProtocolFile } from './read-file.js';
import { Shipped } from './shipped.js';

/** What a draft is saved with besides its content. */
interface DraftOf {
  basedOn?: string | undefined;
  note?: string | undefined;
}

@Injectable()
export class ProtocolsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
    private readonly shipped: Shipped,
  ) {}

  reagents({ laboratoryId }: Acting): Promise<Reagent[]> {
    return this.store.read(laboratoryId, catalogue);
  }

  sources(): Source[] {
    return [...this.shipped.sources];
  }

  async list({ laboratoryId }: Acting): Promise<ProtocolSummaryDto[]> {
    const now = this.clock.now();
    const revisions = await this.store.read(laboratoryId, (view) => knownRevisions(view));
    const ids = [...new Set(revisions.map(({ row }) => row.protocolId))];
    return ids.map((id) => {
      const own = revisions.filter(({ row }) => row.protocolId === id);
      const shown = own.find((each) => inForce(each, own, now)) ?? (own.at(-1) as KnownRevision);
      const { title, category, setting } = shown.row.content;
      return { id, title, category, setting, revisions: own.map((each) => summary(each, own, now)).reverse() };
    });
  }

  read({ laboratoryId }: Acting, id: string): Promise<RevisionDto> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const { protocolId } = await view.need(RevisionRow, { id }, `revision ${id}`);
      const all = await knownRevisions(view, protocolId);
      const own = all.find((each) => each.id === id) as KnownRevision;
      const names = await namesOf(
        view,
        own.acts.map(({ personId }) => personId),
      );
      const { number, title, content, basedOn } = own.row;
      const { state, effectiveFrom, inForce: usable } = summary(own, all, now);
      return {
        id,
        protocolId,
        number,
        title,
        content,
        contentHash: own.row.contentHash,
        basedOn,
        state,
        effectiveFrom,
        inForce: usable,
        acts: own.acts.map(({ kind, at, personId, data }) => ({
          kind,
          at,
          personId,
          person: personId === null ? null : (names[personId] ?? null),
          data,
        })),
        openProposals: openProposals(content),
      };
    });
  }

  async check(acting: Acting, { content }: ProtocolCheckDto): Promise<ProtocolFaultsDto> {
    const form = formProblems(ProtocolDto, content);
    const vocabulary = { reagents: await this.reagents(acting), sources: this.shipped.sources };
    const problems = form.length > 0 ? form : checkProtocol(content as Protocol, vocabulary);
    return { problems: problems.map(({ path, message }) => ({ path: [...path], message })) };
  }

  async draft(acting: Acting, { content, basedOn, note }: NewDraftDto, key?: string): Promise<RevisionDto> {
    // A class instance carries its absent fields as undefined ones; a protocol is plain.
    const plain = JSON.parse(JSON.stringify(content)) as Protocol;
    return this.save(acting, plain, { basedOn, note }, key);
  }

  async draftFromText(acting: Acting, { text, fileName }: NewDraftFromTextDto, key?: string): Promise<RevisionDto> {
    const read = readProtocolFile(text, fileName, await this.reagents(acting), this.shipped.sources);
    if ('problems' in read) {
      throw new Refusal(
        'invalid',
        'faulty-protocol',
        `${fileName} has ${counted(read.problems.length)}; nothing was saved.`,
        read.problems.map(({ line, column, message }) => ({ at: `${fileName}:${line}:${column}`, message })),
        { fileProblems: read.problems },
      );
    }
    return this.save(acting, read.protocol, { note: `From ${fileName}.` }, key);
  }

  async setFigures(acting: Acting, id: string, { figures, note }: SetFiguresDto, key?: string): Promise<RevisionDto> {
    const { content } = await this.need(acting, id);
    return this.save(acting, withFigures(content, figures), { basedOn: id, note }, key);
  }

  async review(acting: Acting, id: string, { note, password }: DecisionDto, key?: string): Promise<RevisionDto> {
    const revision = await this.need(acting, id);
    const data: RevisionActData = { note };
    const signature = await this.signing.sign(acting, password, 'review', decisionRecord('reviewed', revision, data));
    const decide = async (unit: Unit): Promise<null> => {
      const { state } = await standing(unit, revision);
      checkDecision('reviewed', state);
      unit.about('revision', id, { protocol: revision.protocolId, number: revision.number });
      await addAct(unit, id, 'reviewed', { ...data, signature });
      return null;
    };
    await this.store.change(acting, 'protocol.reviewed', decide, onceOf(key, { id, note }));
    return this.read(acting, id);
  }

  async approve(acting: Acting, id: string, approval: ApprovalDto, key?: string): Promise<RevisionDto> {
    const revision = await this.need(acting, id);
    const { verification, newAssessment, password } = approval;
    const { zone } = await this.store.read(acting.laboratoryId, needLaboratory);
    const effectiveFrom = effectiveInstant(approval.effectiveFrom, this.clock.now(), zone);
    const data = { effectiveFrom, verification: { ...verification }, newAssessment };
    const signature = await this.signing.sign(acting, password, 'approval', decisionRecord('approved', revision, data));
    const decide = async (unit: Unit): Promise<null> => {
      const { state, all } = await standing(unit, revision);
      checkApproval(state, revision.content, verification);
      const { protocolId, number, contentHash: hash } = revision;
      unit.about('revision', id, { protocol: protocolId, number, contentHash: hash, effectiveFrom });
      for (const earlier of all.filter((each) => revisionState(each, all, unit.at) === 'approved')) {
        await addAct(unit, earlier.id, 'superseded', { effectiveFrom, by: id });
      }
      await addAct(unit, id, 'approved', { ...data, signature });
      return null;
    };
    await this.store.change(acting, 'protocol.approved', decide, onceOf(key, { id, ...approval }));
    return this.read(acting, id);
  }

  async retire(acting: Acting, id: string, { note, password }: DecisionDto, key?: string): Promise<RevisionDto> {
    const revision = await this.need(acting, id);
    const data: RevisionActData = { note };
    const record = decisionRecord('retired', revision, data);
    const signature = await this.signing.sign(acting, password, 'responsibility', record);
    const decide = async (unit: Unit): Promise<null> => {
      const { state } = await standing(unit, revision);
      checkDecision('retired', state);
      unit.about('revision', id, { protocol: revision.protocolId, number: revision.number });
      await addAct(unit, id, 'retired', { ...data, signature });
      if (state !== 'approved') return null;
      const { title, number } = revision;
      await questionReleases(
        unit,
        {
          cause: 'protocol retired',
          causeId: id,
          reason: `Revision ${number} of ${title} was retired: ${note}`,
          path: `/protocols/${id}`,
        },
        { revision: id },
      );
      return null;
    };
    await this.store.change(acting, 'protocol.retired', decide, onceOf(key, { id, note }));
    return this.read(acting, id);
  }

  async compare(acting: Acting, a: string, b: string): Promise<ComparisonDto> {
    const [first, second] = [await this.need(acting, a), await this.need(acting, b)];
    if (first.protocolId !== second.protocolId) {
      throw new Refusal(
        'invalid',
        'other-protocol',
        `These are revisions of ${first.protocolId} and of ${second.protocolId}; compare two of one protocol.`,
      );
    }
    return {
      differences: diffProtocols(first.content, second.content).map(({ path, before, after }) => ({
        path,
        ...(before === undefined ? {} : { a: before }),
        ...(after === undefined ? {} : { b: after }),
      })),
    };
  }

  private need({ laboratoryId }: Acting, id: string): Promise<RevisionRow> {
    return this.store.read(laboratoryId, (view) => view.need(RevisionRow, { id }, `revision ${id}`));
  }

  /** Saves content as the next draft of its protocol; each saved draft is a revision of its own. */
  private async save(
    acting: Acting,
    content: Protocol,
    { basedOn, note }: DraftOf,
    key?: string,
  ): Promise<RevisionDto> {
    const sources = this.shipped.sources;
    const write = async (unit: Unit): Promise<string> => {
      refuseFaulty(checkProtocol(content, { reagents: await catalogue(unit), sources }));
      const hash = contentHash(content);
      const base = basedOn === undefined ? null : await unit.need(RevisionRow, { id: basedOn }, `revision ${basedOn}`);
      if (base && base.protocolId !== content.id) {
        throw new Refusal(
          'invalid',
          'other-protocol',
          `The content is of ${content.id}, and revision ${base.id} is of ${base.protocolId}; base it on one of its own.`,
        );
      }
      if (base?.contentHash === hash) {
        throw new Refusal(
          'conflict',
          'unchanged',
          `Nothing differs from revision ${base.number}; change a figure first.`,
        );
      }
      const number = ((await knownRevisions(unit, content.id)).at(-1)?.row.number ?? 0) + 1;
      const { title, id: protocolId } = content;
      const row = await unit.insert(RevisionRow, {
        protocolId,
        number,
        title,
        content,
        contentHash: hash,
        basedOn: basedOn ?? null,
      });
      unit.about('revision', row.id, { protocol: protocolId, number, contentHash: hash });
      await addAct(unit, row.id, 'drafted', note === undefined ? {} : { note });
      return row.id;
    };
    const id = await this.store.change(acting, 'protocol.drafted', write, onceOf(key, { content, basedOn, note }));
    return this.read(acting, id);
  }
}

function summary(own: KnownRevision, all: readonly KnownRevision[], now: Instant): RevisionSummaryDto {
  return {
    id: own.id,
    number: own.row.number,
    state: revisionState(own, all, now),
    effectiveFrom: own.acts.find(({ kind }) => kind === 'approved')?.data.effectiveFrom ?? null,
    inForce: inForce(own, all, now),
    openProposals: openProposals(own.row.content).length,
  };
}

async function standing(
  unit: Unit,
  { id, protocolId }: RevisionRow,
): Promise<{ state: RevisionState; all: KnownRevision[] }> {
  const all = await knownRevisions(unit, protocolId);
  const own = all.find((each) => each.id === id) as KnownRevision;
  return { state: revisionState(own, all, unit.at), all };
}

async function addAct(
  unit: Unit,
  revisionId: string,
  kind: RevisionActRow['kind'],
  data: RevisionActData,
): Promise<void> {
  await unit.insert(RevisionActRow, { revisionId, kind, at: unit.at, personId: unit.actor.personId, data });
}

/** The content with the laboratory's figures in it; refuses a place that holds no figure and a value of another form. */
function withFigures(content: Protocol, figures: SetFiguresDto['figures']): Protocol {
  try {
    const changed = confirmFigures(content, figures);
    refuseFaulty(formProblems(ProtocolDto, changed));
    return changed;
  } catch (error) {
    if (error instanceof RangeError)
      throw new Refusal('invalid', 'no-such-figure', `${error.message}; nothing was saved.`);
    throw error;
  }
}

function refuseFaulty(problems: readonly Problem[]): void {
  if (problems.length === 0) return;
  throw new Refusal(
    'invalid',
    'faulty-protocol',
    `The protocol has ${counted(problems.length)}; nothing was saved.`,
    problems.map(({ path, message }) => ({ at: path.join('.'), message })),
  );
}

function counted(problems: number): string {
  return problems === 1 ? 'a problem' : `${problems} problems`;
}
