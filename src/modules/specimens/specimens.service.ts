import { Injectable } from '@nestjs/common';
import type {
  NewSubjectDto,
  NewTissueMomentDto,
  SubjectChoiceDto,
  SubjectListDto,
  SubjectQueryDto,
  SubjectSummaryDto,
  SubjectDto,
} from '../../contract/specimens.dto.js';
import { holdsText } from '../../core/find/lists.js';
import { LABEL_KINDS, makeLabel, readLabel } from '../../core/gs1/label.js';
import { KNOW_THE_PATIENT } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import { checkSubject, SUBJECT_LABELS, type SubjectKind } from '../../core/specimen/subject.js';
import { checkMoment, type TissueMoment, tissueTimes } from '../../core/specimen/tissue.js';
import { readInstant } from '../../core/time/instant.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { labelTaken, unusedLabel } from '../../store/questions/labels.js';
import { namesOf } from '../../store/questions/people.js';
import { needReagent } from '../../store/questions/reagents.js';
import { identifiersOf, patientKey, subjects } from '../../store/questions/subjects.js';
import { momentsOf } from '../../store/questions/tissue.js';
import { SubjectRow } from '../../store/rows/specimens.entity.js';
import { TissueMomentRow } from '../../store/rows/tissue.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { A_PAGE, pagesOf } from '../http/csv-file.js';

/** Pieces of one specimen that a page shows. */
const MANY = 200;

@Injectable()
export class SpecimensService {
  constructor(private readonly store: Store) {}

  async register(acting: Acting, body: NewSubjectDto, key?: string): Promise<SubjectDto> {
    const { kind, parentId, description, irreplaceable, cytology, tissueTest, identifiers = [] } = body;
    const write = async (unit: Unit): Promise<string> => {
      const takenAt = body.takenAt === undefined ? null : readInstant(body.takenAt);
      const parent =
        parentId === undefined ? null : await unit.need(SubjectRow, { id: parentId }, `specimen ${parentId}`);
      checkSubject(
        {
          kind,
          takenAt,
          identifiers: identifiers.length,
          parent: parent?.kind ?? null,
          ofPatient: cytology !== undefined || tissueTest !== undefined,
        },
        unit.at,
      );
      const label =
        body.label === undefined
          ? await unusedLabel(unit, SUBJECT_LABELS[kind][0])
          : await ownLabel(unit, body.label, kind);
      const { id } = await unit.insert(SubjectRow, {
        kind,
        label,
        parentId: parentId ?? null,
        description,
        takenAt,
        irreplaceable,
        ...(cytology !== undefined && { cytology }),
        ...(tissueTest !== undefined && { tissueTest }),
        patient: await patientKey(unit, identifiers.find((each) => each.kind === 'patient number')?.value),
      });
      for (const { kind: what, value } of identifiers) await unit.seal(id, what, value);
      unit.about('subject', id, { kind, label });
      return id;
    };
    return this.read(acting, await this.store.change(acting, 'subject.registered', write, onceOf(key, body)));
  }

  async addMoment(acting: Acting, id: string, body: NewTissueMomentDto, key?: string): Promise<SubjectDto> {
    const { kind, fixative, reason } = body;
    const write = async (unit: Unit): Promise<null> => {
      const at = readInstant(body.at);
      const specimen = await unit.need(SubjectRow, { id }, `specimen ${id}`);
      if (specimen.kind !== 'specimen') {
        throw new Refusal('conflict', 'no-specimen', `${specimen.label} is a ${specimen.kind}; name its specimen.`);
      }
      const code = fixative === undefined ? null : await needFixative(unit, fixative, kind);
      const known = (await momentsOf(unit, [id])).get(id) ?? [];
      const said = known.some((each) => each.kind === kind);
      if (reason === undefined && (said || (kind === 'out of the body' && specimen.takenAt !== null))) {
        const message = `When it came or went ${kind} was said already; say why it is said anew.`;
        throw new Refusal('conflict', 'said-already', message, [{ at: 'reason', message }]);
      }
      const others = known.filter((each) => each.kind !== kind);
      checkMoment({ kind, at, fixative: code }, tissueTimes(specimen.takenAt, others), unit.at);
      const { personId } = unit.actor;
      await unit.insert(TissueMomentRow, { subjectId: id, kind, at, fixative: code, personId, reason: reason ?? null });
      await questionReleases(
        unit,
        {
          cause: 'tissue times told',
          causeId: id,
          reason: `${specimen.label} went ${kind} at ${at}${reason === undefined ? '.' : `: ${reason}`}`,
          path: '/release',
        },
        { specimen: id },
      );
      unit.about('subject', id, { moment: kind, at });
      return null;
    };
    await this.store.change(acting, 'subject.fixed', write, onceOf(key, { id, ...body }));
    return this.read(acting, id);
  }

  async list({ laboratoryId }: Acting, { label, parentId, take, after }: SubjectQueryDto): Promise<SubjectListDto> {
    const choice = { ...(label === undefined ? {} : { label }), ...(parentId === undefined ? {} : { parentId }) };
    const rows = await this.store.read(laboratoryId, (view) => subjects(view, choice, { take, after }));
    return { items: rows.map(summary), next: rows.length === take ? (rows.at(-1)?.id ?? null) : null };
  }

  /** Those in whose label or description a text stands, part by part. */
  async *listed(acting: Acting, { find = '', parentId }: SubjectChoiceDto): AsyncGenerator<SubjectSummaryDto[]> {
    const ofParent = parentId === undefined ? {} : { parentId };
    for await (const page of pagesOf((after) => this.list(acting, { ...ofParent, take: A_PAGE, after }))) {
      yield page.filter(({ label, description }) => holdsText(find, [label, description]));
    }
  }

  read({ laboratoryId, roles }: Acting, id: string): Promise<SubjectDto> {
    return this.store.read(laboratoryId, async (view) => {
      const row = await view.need(SubjectRow, { id }, `specimen or slide ${id}`);
      const pieces = await subjects(view, { parentId: id }, { take: MANY });
      const moments = (await momentsOf(view, [id])).get(id) ?? [];
      const names = await namesOf(
        view,
        moments.map(({ personId }) => personId),
      );
      const mayKnow = roles.some((role) => KNOW_THE_PATIENT.includes(role));
      return {
        ...summary(row),
        pieces: pieces.map(summary),
        moments: moments.map(({ kind, at, fixative, personId, reason }) => ({
          kind,
          at,
          fixative,
          person: names[personId ?? ''] ?? null,
          reason,
        })),
        ...(mayKnow && { identifiers: await identifiersOf(view, id) }),
      };
    });
  }
}

function summary(row: SubjectRow): SubjectSummaryDto {
  const { id, kind, label, parentId, description, takenAt, irreplaceable, cytology, tissueTest } = row;
  return { id, kind, label, parentId, description, takenAt, irreplaceable, cytology, tissueTest };
}

/** A fixative of the catalogue; refuses another reagent, and one for what comes out. */
async function needFixative(unit: Unit, code: string, kind: TissueMoment): Promise<string> {
  const refuse = (message: string): never => {
    throw new Refusal('invalid', 'no-fixative', message, [{ at: 'fixative', message }]);
  };
  if (kind !== 'into fixative') refuse('The fixative is said when the specimen goes in; leave it out.');
  const reagent = await needReagent(unit, code);
  if (reagent.kind !== 'fixative') refuse(`${reagent.name} is a ${reagent.kind} and no fixative.`);
  return reagent.code;
}

/** A label that the thing carries already: right in itself, of the right kind and on nothing else. */
async function ownLabel(unit: Unit, given: string, kind: SubjectKind): Promise<string> {
  const refuse = (refusal: 'invalid' | 'conflict', code: string, message: string): Refusal =>
    new Refusal(refusal, code, message, [{ at: 'label', message }]);
  const read = readLabel(given);
  if (!read.valid) throw refuse('invalid', 'bad-label', read.error.message);
  const fitting = SUBJECT_LABELS[kind];
  if (!fitting.includes(read.kind)) {
    const right = fitting.map((letter) => `SW1:${letter}:…`).join(' or ');
    throw refuse(
      'invalid',
      'other-kind',
      `"${given}" is a label for a ${LABEL_KINDS[read.kind]}; a ${kind} has ${right}.`,
    );
  }
  const label = makeLabel(read.kind, read.id);
  if (await labelTaken(unit, label)) {
    throw refuse('conflict', 'label-taken', `The label ${label} is on another thing already; take a new one.`);
  }
  return label;
}
