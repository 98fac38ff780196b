import { Controller, Get, Param, Query, StreamableFile } from '@nestjs/common';
import { ListDto } from '../../contract/list.dto.js';
import { LotTraceDto, SubjectTraceDto, TracedRunListDto } from '../../contract/recalls.dto.js';
import { subjects } from '../../store/questions/subjects.js';
import { originsOf } from '../../store/questions/trace/lots.js';
import { runsOfSubjects } from '../../store/questions/trace/runs.js';
import { SubjectRow } from '../../store/rows/specimens.entity.js';
import { LotRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import { type Acting as ActingPerson, Acting, SignedIn } from '../http/access.js';
import { CsvAnswer } from '../http/csv-file.js';
import { lotTrace, runPage } from './answers.js';
import { runsCsv } from './runs-csv.js';

/** From a lot to everything that it touched, and from a specimen back to everything that touched it. */
@Controller('trace')
export class TraceController {
  constructor(private readonly store: Store) {}

  /** What a lot is in: its containers, what was made of it, and how many runs, specimens and releases that touches. */
  @Get('lot/:id')
  @SignedIn()
  lot(@Acting() { laboratoryId }: ActingPerson, @Param('id') id: string): Promise<LotTraceDto> {
    return this.store.read(laboratoryId, async (view) => {
      await view.need(LotRow, { id }, `lot ${id}`);
      return lotTrace(view, [id]);
    });
  }

  /** The runs that a lot reaches, oldest first, with what was stained and released. */
  @Get('lot/:id/runs')
  @SignedIn()
  runs(
    @Acting() { laboratoryId }: ActingPerson,
    @Param('id') id: string,
    @Query() query: ListDto,
  ): Promise<TracedRunListDto> {
    return this.store.read(laboratoryId, async (view) => {
      await view.need(LotRow, { id }, `lot ${id}`);
      return runPage(view, [id], query);
    });
  }

  /** The same runs, all of them, as CSV. */
  @Get('lot/:id/runs.csv')
  @SignedIn()
  @CsvAnswer()
  async csv(@Acting() { laboratoryId }: ActingPerson, @Param('id') id: string): Promise<StreamableFile> {
    const { number } = await this.store.read(laboratoryId, (view) => view.need(LotRow, { id }, `lot ${id}`));
    return runsCsv(this.store, laboratoryId, [id], `trace-of-lot-${number}`);
  }

  /** From a specimen, its slides included, to the runs that it was in, what stood on their trays and what that was made of. */
  @Get('subject/:id')
  @SignedIn()
  subject(@Acting() { laboratoryId }: ActingPerson, @Param('id') id: string): Promise<SubjectTraceDto> {
    return this.store.read(laboratoryId, async (view) => {
      const own = await view.need(SubjectRow, { id }, `specimen, slide or control ${id}`);
      const slides = await subjects(view, { parentId: id }, { take: 200 });
      const all = [own, ...slides.reverse()];
      const ids = all.map((each) => each.id);
      const runs = await runsOfSubjects(view, ids);
      const stained = runs.flatMap((run) => run.subjects);
      return {
        subjects: all.map(({ id: of, label, kind, description }) => ({
          id: of,
          label,
          kind,
          description,
          role: kind === 'control' ? 'control' : 'patient',
          releases: stained.filter((each) => each.id === of).flatMap(({ releases }) => releases),
        })),
        runs: runs.map((run) => ({ ...run, subjects: run.subjects.filter((each) => ids.includes(each.id)) })),
        lots: await originsOf(view, runs),
      };
    });
  }
}
