import { MoreThanOrEqual } from 'typeorm';
import { type Instant, plusMs } from '../../core/time/instant.js';
import { HandOverNoteRow } from '../rows/hand-over.entity.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';

/** So that what was left before a week off is still there after it. */
const SHOWN_MS = 8 * 24 * 3_600_000;
const MOST = 50;

/** The notes that were left for whoever takes over, of the last eight days, newest first, with the names of who wrote them. */
export async function handOverNotes(view: View, now: Instant): Promise<(HandOverNoteRow & { person: string })[]> {
  const notes = await view.all(
    HandOverNoteRow,
    { at: MoreThanOrEqual(plusMs(now, -SHOWN_MS)) },
    { order: { seq: 'DESC' }, take: MOST },
  );
  const names = await namesOf(
    view,
    notes.map(({ personId }) => personId),
  );
  return notes.map((note) => ({ ...note, person: names[note.personId] ?? note.personId }));
}
