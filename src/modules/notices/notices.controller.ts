import { Body, Controller, Get, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { FindInListDto } from '../../contract/list.dto.js';
import { NewSeenDto, NoticeDto, SeenDto, SeenManyDto } from '../../contract/notices.dto.js';
import { holdsText } from '../../core/find/lists.js';
import { Refusal } from '../../core/refusal.js';
import { unseenNotices } from '../../store/questions/notices.js';
import { NoticeRow } from '../../store/rows/jobs.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting as ActingPerson, Acting, Allow, OnceKey, onceOf, SignedIn } from '../http/access.js';
import { type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';

const NOTICE_COLUMNS: Columns<NoticeDto> = {
  id: ({ id }) => id,
  at: ({ at }) => at,
  matter: ({ matter }) => matter,
  text: ({ text }) => text,
  run: ({ runId }) => runId,
  'over since': ({ overAt }) => overAt,
};

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

  /** The same as CSV, those in whose text a text stands. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() { laboratoryId }: ActingPerson, @Query() { find = '' }: FindInListDto): Promise<StreamableFile> {
    const pages = pagesOf(async () => {
      const notices = await this.store.read(laboratoryId, unseenNotices);
      return { items: notices.filter(({ text }) => holdsText(find, [text])), next: null };
    });
    return listFile('notices', NOTICE_COLUMNS, pages);
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
