import { Controller, Get, Param, Query, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import { MonthDto } from '../../contract/month.dto.js';
import { ChartReportQueryDto, ReportQueryDto, RunReportQueryDto } from '../../contract/reports.dto.js';
import { Acting, SignedIn } from '../http/access.js';
import { ReportsService } from './reports.service.js';

@Controller()
export class ReportsController {
  constructor(private readonly reports: ReportsService) {}

  /** The report on a run, on one page where that can be: steps against windows, reagents, controls, findings, signatures. */
  @Get('runs/:id/report.pdf')
  @SignedIn()
  @ApiProduces('application/pdf')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async run(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Query() query: RunReportQueryDto,
  ): Promise<StreamableFile> {
    const { name, content } = await this.reports.run(acting, id, query);
    return shown(content, name);
  }

  /** The laboratory's month in numbers: what was done, found, missed and lost, with what each is counted of. */
  @Get('reports/month/:month')
  @SignedIn()
  monthly(@Acting() acting: Acting, @Param('month') month: string): Promise<MonthDto> {
    return this.reports.month(acting, month);
  }

  /** The same as the monthly quality summary, with the month's control charts. */
  @Get('reports/month/:month/summary.pdf')
  @SignedIn()
  @ApiProduces('application/pdf')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async monthPdf(
    @Acting() acting: Acting,
    @Param('month') month: string,
    @Query() query: ReportQueryDto,
  ): Promise<StreamableFile> {
    const { name, content } = await this.reports.monthPdf(acting, month, query);
    return shown(content, name);
  }

  /** The control charts of a series with EWMA and CUSUM under them, for print. */
  @Get('control-series/:id/chart.pdf')
  @SignedIn()
  @ApiProduces('application/pdf')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async chart(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Query() query: ChartReportQueryDto,
  ): Promise<StreamableFile> {
    const { name, content } = await this.reports.chart(acting, id, query);
    return shown(content, name);
  }
}

function shown(content: Buffer, name: string): StreamableFile {
  return new StreamableFile(content, {
    type: 'application/pdf',
    disposition: `inline; filename="${name}"`,
    length: content.length,
  });
}
