import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { HandOverNoteDto, HandOverNotesDto, NewHandOverNoteDto } from '../../contract/hand-over.dto.js';
import { Refusal } from '../../core/refusal.js';
import { handOverNotes } from '../../store/questions/hand-over.js';
import { namesOf } from '../../store/questions/people.js';
import { HandOverNoteEndRow, HandOverNoteRow } from '../../store/rows/hand-over.entity.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

/** Notes that one pair of hands leaves to the next. */
@Injectable()
export class HandOverService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async notes({ laboratoryId }: Acting): Promise<HandOverNotesDto> {
    return { items: await this.store.read(laboratoryId, (view) => handOverNotes(view, this.clock.now())) };
  }

  async leave(acting: Acting, asked: NewHandOverNoteDto, key: string | undefined): Promise<HandOverNoteDto> {
    const text = asked.text.trim();
    if (text === '') {
      const message = 'write what the next person has to know, without any patient';
      throw new Refusal('invalid', 'empty-note', 'An empty note tells nobody anything.', [{ at: 'text', message }]);
    }
    return this.store.change(
      acting,
      'hand-over.noted',
      async (unit) => {
        const { personId } = unit;
        const { name } = await unit.need(PersonRow, { id: personId }, `person ${personId}`);
        const { id } = await unit.insert(HandOverNoteRow, { text, at: unit.at, personId });
        unit.about('hand-over-note', id);
        return { id, text, at: unit.at, personId, person: name, done: null };
      },
      onceOf(key, asked),
    );
  }

  /** Says that a note is seen to; refuses when somebody said so before. */
  async see(acting: Acting, id: string, key: string | undefined): Promise<HandOverNoteDto> {
    return this.store.change(
      acting,
      'hand-over.note-seen-to',
      async (unit) => {
        const { text, at, personId } = await unit.need(HandOverNoteRow, { id }, `note ${id}`);
        const before = await unit.one(HandOverNoteEndRow, { noteId: id });
        const names = await namesOf(unit, [personId, before?.personId ?? unit.personId]);
        const nameOf = (each: string): string => names[each] ?? each;
        if (before) {
          const message = `${nameOf(before.personId)} saw to it at ${before.at}; leave a new note for what is still to be done.`;
          throw new Refusal('conflict', 'note-seen-to', message);
        }
        await unit.insert(HandOverNoteEndRow, { noteId: id, at: unit.at, personId: unit.personId });
        unit.about('hand-over-note', id);
        return {
          id,
          text,
          at,
          personId,
          person: nameOf(personId),
          done: { at: unit.at, person: nameOf(unit.personId) },
        };
      },
      onceOf(key, { id }),
    );
  }
}
