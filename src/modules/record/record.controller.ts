import { Controller, Get, Query } from '@nestjs/common';
import { RecordPageDto, RecordQueryDto } from '../../contract/record.dto.js';
import { entriesAfter, lastSeq } from '../../store/questions/entries.js';
import { Store } from '../../store/store.js';
import { type Acting as ActingPerson, Acting, Allow } from '../http/access.js';

/** The record itself: each act's entry with its bytes and hash. */
@Controller('record')
export class RecordController {
  constructor(private readonly store: Store) {}

  /** Entries in their order, and the number of the last one there is. */
  @Get()
  @Allow('reviewer', 'director', 'manager', 'administrator')
  list(
    @Acting() { laboratoryId }: ActingPerson,
    @Query() { subject, after = 0, take = 100 }: RecordQueryDto,
  ): Promise<RecordPageDto> {
    return this.store.read(laboratoryId, async (view) => ({
      last: await lastSeq(view),
      entries: (await entriesAfter(view, after, take, subject)).map(({ seq, at, act, body, hash }) => ({
        seq,
        at,
        act,
        body,
        hash,
      })),
    }));
  }
}
