import { Body, Controller, Get, HttpCode, Param, Post } from '@nestjs/common';
import { NewSeenDto, NoticeDto, SeenDto, SeenManyDto } from '../../contract/notices.dto.js';
import { Refusal } from '../../core/refusal.js';
import { unseenNotices } from '../../store/questions/notices.js';
import { NoticeRow } from '../../store/rows/jobs.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting as ActingPerson, Acting, Allow, OnceKey, onceOf, SignedIn } from '../http/access.js';

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

  /** Says that the person has seen these, and no others that came meanwhile. */
  @Post('seen')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director', 'administrator')
  seenMany(@Acting() acting: ActingPerson, @Body() { ids }: NewSeenDto, @OnceKey() key?: string): Promise<SeenManyDto> {
    const work = async (unit: Unit): Promise<SeenManyDto> => {
      const marked: string[] = [];
      for (const id of ids) if (await markSeen(unit, await needNotice(unit, id))) marked.push(id);
      if (marked.length > 0) unit.about('laboratory', unit.laboratoryId, { notices: marked });
      return { seen: marked.length };
    };
    return this.store.change(acting, 'notices.seen', work, onceOf(key, { ids }));
  }

  /** Says that the person has seen it. */
  @Post(':id/seen')
  @Allow('technician', 'releaser', 'manager', 'director', 'administrator')
  seen(@Acting() acting: ActingPerson, @Param('id') id: string): Promise<SeenDto> {
    return this.store.change(acting, 'notice.seen', async (unit) => {
      if (await markSeen(unit, await needNotice(unit, id))) unit.about('notice', id);
      return { id };
    });
  }
}

async function needNotice(unit: Unit, id: string): Promise<NoticeRow> {
  const notice = await unit.one(NoticeRow, { id });
  if (!notice) throw new Refusal('not-found', 'not-found', `There is no notice ${id}.`);
  return notice;
}

/** Who saw it first stands with it; false when somebody had. */
async function markSeen(unit: Unit, { id, seenBy }: NoticeRow): Promise<boolean> {
  if (seenBy !== null) return false;
  await unit.change(NoticeRow, { id }, { seenBy: unit.personId, seenAt: unit.at });
  return true;
}
