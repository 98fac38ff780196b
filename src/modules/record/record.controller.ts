import { Controller, Get, Query } from '@nestjs/common';
import { RecordPageDto, RecordQueryDto } from '../../contract/record.dto.js';
import { Refusal } from '../../core/refusal.js';
import { entriesAfter, lastSeq, lastSeqIn } from '../../store/questions/entries.js';
import { Store } from '../../store/store.js';
import { type Acting as ActingPerson, Acting, Allow } from '../http/access.js';
import { Reviewing } from '../http/reviewing.js';

/** The record itself: each act's entry with its bytes and hash. */
@Controller('record')
export class RecordController {
  constructor(
    private readonly store: Store,
    private readonly reviewing: Reviewing,
  ) {}

  /** Entries in their order, and the number of the last one there is; for a reviewer, of their period. */
  @Get()
  @Allow('reviewer', 'director', 'manager', 'administrator')
  async list(
    @Acting() acting: ActingPerson,
    @Query() { subject, after = 0, take = 100 }: RecordQueryDto,
  ): Promise<RecordPageDto> {
    const { laboratoryId, review } = acting;
    if (review && (review.protocols !== null || review.areas !== null)) {
      throw new Refusal(
        'forbidden',
        'outside-review',
        'The record as a whole holds more than you were granted; ask it about a day or a stain instead.',
      );
    }
    await this.reviewing.looked(acting, 'GET /api/record', { kind: 'record', about: 'entries' });
    return this.store.read(laboratoryId, async (view) => ({
      last: review ? await lastSeqIn(view, review) : await lastSeq(view),
      entries: (await entriesAfter(view, after, take, subject, review)).map(({ seq, at, act, body, hash }) => ({
        seq,
        at,
        act,
        body,
        hash,
      })),
    }));
  }
}
