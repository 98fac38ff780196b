import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { MonthDto } from '../../contract/month.dto.js';
import type { ChartReportQueryDto, ReportQueryDto, RunReportQueryDto } from '../../contract/reports.dto.js';
import { KNOW_THE_PATIENT } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import { chartPdf } from '../../reports/charts.js';
import { monthPdf } from '../../reports/month.js';
import { runReportPdf } from '../../reports/run-report.js';
import { evaluated } from '../../store/questions/control-evaluation.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { monthOf } from '../../store/questions/month.js';
import { runReport } from '../../store/questions/run-report.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';

export interface Printed {
  name: string;
  content: Buffer;
}

@Injectable()
export class ReportsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async run({ laboratoryId, roles }: Acting, id: string, query: RunReportQueryDto): Promise<Printed> {
    const { paper = 'A4', identifiers = 'masked' } = query;
    if (identifiers === 'included' && !roles.some((role) => KNOW_THE_PATIENT.includes(role))) {
      throw new Refusal(
        'forbidden',
        'identifiers-not-allowed',
        `Only ${KNOW_THE_PATIENT.join(', ')} may have patients’ identifiers printed; ask for the report with them masked.`,
        [{ at: 'identifiers', message: 'ask for masked' }],
      );
    }
    const report = await this.store.read(laboratoryId, (view) => runReport(view, id));
    // The words of a release stand on its page for whoever is signed in.
    const words = identifiers !== 'left out';
    const content = await runReportPdf(report, { now: this.clock.now(), paper, identifiers, words });
    return { name: `run-${report.run.number}.pdf`, content };
  }

  month({ laboratoryId }: Acting, month: string): Promise<MonthDto> {
    return this.store.read(laboratoryId, (view) => monthOf(view, month, this.clock.now()));
  }

  async monthPdf(acting: Acting, month: string, { paper = 'A4' }: ReportQueryDto): Promise<Printed> {
    const told = await this.month(acting, month);
    return { name: `month-${month}.pdf`, content: await monthPdf(told, { now: this.clock.now(), paper }) };
  }

  async chart({ laboratoryId }: Acting, id: string, { paper = 'A4', ...query }: ChartReportQueryDto): Promise<Printed> {
    const now = this.clock.now();
    const { judged, name, zone } = await this.store.read(laboratoryId, async (view) => ({
      judged: await evaluated(view, id, query, now),
      ...(await needLaboratory(view)),
    }));
    const content = await chartPdf(judged, { laboratory: name, zone, now, paper });
    return { name: `chart-${judged.series.code}.pdf`, content };
  }
}
