import { type Instant, plusMs } from '../../core/time/instant.js';
import { HandOverNoteEndRow, HandOverNoteRow } from '../rows/hand-over.entity.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';

/** So that what was seen to during a week off is still there after it. */
const SHOWN_MS = 8 * 24 * 3_600_000;
const MOST = 100;

export interface LeftNote {
  id: string;
  text: string;
  at: Instant;
  personId: string;
  /** Name of who wrote it. */
  person: string;
  /** Who saw to it, by name, and when; null while it is open. */
  done: { at: Instant; person: string } | null;
}

/** The notes that were left for whoever takes over: those that are open, newest first, then those seen to of the last eight days. */
export async function handOverNotes(view: View, now: Instant): Promise<LeftNote[]> {
  const found = await (
    await view.ready()
  )
    .createQueryBuilder(HandOverNoteRow, 'note')
    .leftJoinAndMapOne('note.end', HandOverNoteEndRow, 'seen', 'seen.noteId = note.id')
    .where('note.laboratoryId = :laboratoryId', { laboratoryId: view.laboratoryId })
    .andWhere('(seen.id IS NULL OR seen.at >= :since)', { since: plusMs(now, -SHOWN_MS) })
    .orderBy('CASE WHEN seen.id IS NULL THEN 0 ELSE 1 END')
    .addOrderBy('note.seq', 'DESC')
    .limit(MOST)
    .getMany();
  const notes = found as (HandOverNoteRow & { end: HandOverNoteEndRow | null })[];
  const names = await namesOf(
    view,
    notes.flatMap(({ personId, end }) => [personId, ...(end ? [end.personId] : [])]),
  );
  const nameOf = (id: string): string => names[id] ?? id;
  return notes.map(({ id, text, at, personId, end }) => ({
    id,
    text,
    at,
    personId,
    person: nameOf(personId),
    done: end && { at: end.at, person: nameOf(end.personId) },
  }));
}
