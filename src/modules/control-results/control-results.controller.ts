import { Controller, Get, Query } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { ControlResultListDto, ControlResultQueryDto, LotResultsListDto } from '../../contract/control-results.dto.js';
import { resultsByLot } from '../../core/controls/by-lot.js';
import { plusMs } from '../../core/time/instant.js';
import { controlResults, type ResultChoice } from '../../store/questions/control-results.js';
import { lotNames } from '../../store/questions/result-details.js';
import { Store } from '../../store/store.js';
import { Acting, SignedIn } from '../http/access.js';
import { resultViews } from './views.js';

const MONTH_MS = 31 * 86_400_000;

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
