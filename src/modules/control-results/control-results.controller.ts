import { Controller, Get, Query, StreamableFile } from '@nestjs/common';
import { Clock } from '../../clock.js';
import {
  ControlResultDto,
  ControlResultListDto,
  ControlResultQueryDto,
  LotResultsListDto,
} from '../../contract/control-results.dto.js';
import { resultsByLot } from '../../core/controls/by-lot.js';
import { plusMs } from '../../core/time/instant.js';
import { controlResults, type ResultChoice } from '../../store/questions/control-results.js';
import { lotNames } from '../../store/questions/result-details.js';
import { Store } from '../../store/store.js';
import { Acting, SignedIn } from '../http/access.js';
import { type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { resultViews } from './views.js';

const MONTH_MS = 31 * 86_400_000;

const RESULT_COLUMNS: Columns<ControlResultDto> = {
  id: ({ id }) => id,
  stained: ({ stainedAt }) => stainedAt,
  read: ({ at }) => at,
  protocol: ({ title }) => title,
  control: ({ requirement }) => requirement,
  material: ({ label }) => label,
  expected: ({ expected }) => expected,
  passed: ({ passed }) => passed,
  observed: ({ observed }) => observed,
  'read by': ({ readings }) => [...new Set(readings.map(({ person }) => person).filter((name) => name))].join('; '),
  run: ({ runId }) => runId,
};

@Controller('control-results')
export class ControlResultsController {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /** Results of controls, the newest first, with who read them, criteria and pictures. */
  @Get()
  @SignedIn()
  list(@Acting() { laboratoryId }: Acting, @Query() query: ControlResultQueryDto): Promise<ControlResultListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const found = await controlResults(view, this.choice(query));
      return { items: await resultViews(view, found.reverse()) };
    });
  }

  /** The same results as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() query: ControlResultQueryDto): Promise<StreamableFile> {
    const pages = pagesOf(async () => ({ ...(await this.list(acting, query)), next: null }));
    return listFile('control-results', RESULT_COLUMNS, pages);
  }

  /** How controls came out by the lot that stained them. */
  @Get('by-lot')
  @SignedIn()
  byLot(@Acting() { laboratoryId }: Acting, @Query() query: ControlResultQueryDto): Promise<LotResultsListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const lots = resultsByLot(await controlResults(view, this.choice(query)));
      const names = await lotNames(
        view,
        lots.map(({ lotId }) => lotId),
      );
      return {
        items: lots.map((lot) => ({
          ...lot,
          number: names.get(lot.lotId)?.number ?? '',
          source: names.get(lot.lotId)?.source ?? '',
        })),
      };
    });
  }

  private choice({ protocol, requirement, run, from, to }: ControlResultQueryDto): ResultChoice {
    const since = from ?? (run === undefined ? plusMs(this.clock.now(), -MONTH_MS) : undefined);
    return {
      ...(protocol !== undefined && { protocolId: protocol }),
      ...(requirement !== undefined && { requirement }),
      ...(run !== undefined && { runId: run }),
      ...(since !== undefined && { from: since }),
      ...(to !== undefined && { to }),
    };
  }
}
