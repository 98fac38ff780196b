import { Injectable } from '@nestjs/common';
import type {
  NewSubjectDto,
  SubjectListDto,
  SubjectQueryDto,
  SubjectSummaryDto,
  SubjectDto,
} from '../../contract/specimens.dto.js';
import { LABEL_KINDS, makeLabel, readLabel } from '../../core/gs1/label.js';
import type { Role } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import { checkSubject, SUBJECT_LABELS, type SubjectKind } from '../../core/specimen/subject.js';
import { readInstant } from '../../core/time/instant.js';
import { labelTaken, unusedLabel } from '../../store/questions/labels.js';
import { identifiersOf, subjects } from '../../store/questions/subjects.js';
import { SubjectRow } from '../../store/rows/specimens.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';

/** Who needs to know the patient to do their work. */
const KNOW_THE_PATIENT: readonly Role[] = ['technician', 'releaser', 'director'];

/** Pieces of one specimen that a page shows. */
const MANY = 200;

@Injectable()
export class SpecimensService {
  constructor(private readonly store: Store) {}

  async register(acting: Acting, body: NewSubjectDto, key?: string): Promise<SubjectDto> {
    const { kind, parentId, description, irreplaceable, identifiers = [] } = body;
    const write = async (unit: Unit): Promise<string> => {
      const takenAt = body.takenAt === undefined ? null : readInstant(body.takenAt);
      const parent =
        parentId === undefined ? null : await unit.need(SubjectRow, { id: parentId }, `specimen ${parentId}`);
      checkSubject({ kind, takenAt, identifiers: identifiers.length, parent: parent?.kind ?? null }, unit.at);
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
      });
      for (const { kind: what, value } of identifiers) await unit.seal(id, what, value);
      unit.about('subject', id, { kind, label });
      return id;
    };
    return this.read(acting, await this.store.change(acting, 'subject.registered', write, onceOf(key, body)));
  }

  async list({ laboratoryId }: Acting, { label, parentId, take, after }: SubjectQueryDto): Promise<SubjectListDto> {
    const choice = { ...(label === undefined ? {} : { label }), ...(parentId === undefined ? {} : { parentId }) };
    const rows = await this.store.read(laboratoryId, (view) => subjects(view, choice, { take, after }));
    return { items: rows.map(summary), next: rows.length === take ? (rows.at(-1)?.id ?? null) : null };
  }

  read({ laboratoryId, roles }: Acting, id: string): Promise<SubjectDto> {
    return this.store.read(laboratoryId, async (view) => {
      const row = await view.need(SubjectRow, { id }, `specimen or slide ${id}`);
      const pieces = await subjects(view, { parentId: id }, { take: MANY });
      const mayKnow = roles.some((role) => KNOW_THE_PATIENT.includes(role));
      return {
        ...summary(row),
        pieces: pieces.map(summary),
        ...(mayKnow && { identifiers: await identifiersOf(view, id) }),
      };
    });
  }
}

function summary({ id, kind, label, parentId, description, takenAt, irreplaceable }: SubjectRow): SubjectSummaryDto {
  return { id, kind, label, parentId, description, takenAt, irreplaceable };
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
