import { Controller, Get, Param, Post } from '@nestjs/common';
import { NoticeDto, SeenDto } from '../../contract/notices.dto.js';
import { Refusal } from '../../core/refusal.js';
import { unseenNotices } from '../../store/questions/notices.js';
import { NoticeRow } from '../../store/rows/jobs.entity.js';
import { Store } from '../../store/store.js';
import { type Acting as ActingPerson, Acting, Allow, SignedIn } from '../http/access.js';

/** What people should know: one notice per matter, until a person has seen it. */
@Controller('notices')
export class NoticesController {
  constructor(private readonly store: Store) {}

  /** Those that nobody has seen yet, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() { laboratoryId }: ActingPerson): Promise<NoticeDto[]> {
    return this.store.read(laboratoryId, unseenNotices);
  }

  /** Says that the person has seen it. */
  @Post(':id/seen')
  @Allow('technician', 'releaser', 'manager', 'director', 'administrator')
  seen(@Acting() acting: ActingPerson, @Param('id') id: string): Promise<SeenDto> {
    return this.store.change(acting, 'notice.seen', async (unit) => {
      const changed = await unit.change(NoticeRow, { id }, { seenBy: unit.personId });
      if (changed === 0) throw new Refusal('not-found', 'not-found', `There is no notice ${id}.`);
      unit.about('notice', id);
      return { id };
    });
  }
}
