import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { HandOverNoteDto, HandOverNotesDto, NewHandOverNoteDto } from '../../contract/hand-over.dto.js';
import { Refusal } from '../../core/refusal.js';
import { handOverNotes } from '../../store/questions/hand-over.js';
import { HandOverNoteRow } from '../../store/rows/hand-over.entity.js';
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
    const found = await this.store.read(laboratoryId, (view) => handOverNotes(view, this.clock.now()));
    return { items: found.map(({ id, text, at, personId, person }) => ({ id, text, at, personId, person })) };
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
        return { id, text, at: unit.at, personId, person: name };
      },
      onceOf(key, asked),
    );
  }
}
