import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { DeviationSupportDto, DeviationTrendsDto, TrendQueryDto } from '../../contract/deviations.dto.js';
import { Refusal } from '../../core/refusal.js';
import { type AttributesChart, type CountedSample, pChart, uChart } from '../../core/statistics/attributes-chart.js';
import { plusDays } from '../../core/time/days.js';
import { endOfDay, endOfMonth, localDay, localMonth } from '../../core/time/zone.js';
import { deviationSupport, deviationTrends, type Period } from '../../store/questions/deviation-trends.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';

/** So many months are shown at once. */
const MOST_MONTHS = 36;
const USUAL_MONTHS = 12;

/** Said with what is told of people. */
const PURPOSE =
  'This shows where people were not trained or helped well enough, so that they can be. Whoever is named here does runs in ' +
  'which more deviations fell than the process gives anybody: ask what would help, and look at the process first. It judges ' +
  'nobody and decides nothing about anybody.';

@Injectable()
export class TrendsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  trends({ laboratoryId }: Acting, query: TrendQueryDto): Promise<DeviationTrendsDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      const { from, to, months } = this.period(query, zone);
      const { perRun, runsWith, ...trends } = await deviationTrends(
        view,
        months.map(({ period }) => period),
      );
      return {
        from,
        to,
        ...trends,
        months: months.map(({ month }) => month),
        perRun: charted(perRun, uChart),
        runsWith: charted(runsWith, pChart),
      };
    });
  }

  support({ laboratoryId }: Acting, query: TrendQueryDto): Promise<DeviationSupportDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      const { from, to } = this.period(query, zone);
      const period = { since: endOfDay(plusDays(from, -1), zone), until: endOfDay(to, zone) };
      return { from, to, purpose: PURPOSE, ...(await deviationSupport(view, period)) };
    });
  }

  /** The local months of what was asked, the first and the last as far as they are part of it. */
  private period(
    query: TrendQueryDto,
    zone: string,
  ): { from: string; to: string; months: { month: string; period: Period }[] } {
    const to = query.to ?? localDay(this.clock.now(), zone);
    const until = endOfDay(to, zone);
    const from = query.from ?? `${earlierMonth(to.slice(0, 7), USUAL_MONTHS - 1)}-01`;
    const since = endOfDay(plusDays(from, -1), zone);
    if (since >= until)
      throw wrongPeriod('from', `The period ends with ${to}, before ${from}; give an earlier first day.`);
    const months: { month: string; period: Period }[] = [];
    for (let begins = since; begins < until;) {
      const month = localMonth(begins, zone);
      const ends = endOfMonth(month, zone);
      const last = ends < until ? ends : until;
      months.push({ month, period: { since: begins, until: last } });
      begins = last;
    }
    if (months.length > MOST_MONTHS) {
      throw wrongPeriod('from', `The period has ${months.length} months; ask for at most ${MOST_MONTHS} at once.`);
    }
    return { from, to, months };
  }
}

/** A chart needs a unit to count in. */
function charted(
  samples: readonly CountedSample[],
  chart: (samples: readonly CountedSample[]) => AttributesChart,
): AttributesChart | null {
  return samples.some(({ size }) => size > 0) ? chart(samples) : null;
}

/** The month so many before another. */
function earlierMonth(month: string, months: number): string {
  const [year = 0, number = 0] = month.split('-').map(Number);
  return new Date(Date.UTC(year, number - 1 - months, 1)).toISOString().slice(0, 7);
}

function wrongPeriod(at: string, message: string): Refusal {
  return new Refusal('invalid', 'wrong-period', message, [{ at, message }]);
}
