import { Body, Controller, Get, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import {
  PaperEntryDto,
  PaperSheetDto,
  PaperSheetListDto,
  PaperSheetQueryDto,
  PrintSheetsDto,
  SheetsToPrintDto,
  VoidSheetDto,
} from '../../contract/paper-sheets.dto.js';
import { RunViewDto } from '../../contract/run-view.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { PaperSheetsService } from './paper-sheets.service.js';
import { RunsService } from './runs.service.js';

@Controller()
export class PaperSheetsController {
  constructor(
    private readonly sheets: PaperSheetsService,
    private readonly runs: RunsService,
  ) {}

  /** Every numbered sheet and what became of it, the highest number first. */
  @Get('paper-sheets')
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: PaperSheetQueryDto): Promise<PaperSheetListDto> {
    return this.sheets.list(acting, query);
  }

  /** New numbered sheets of a revision in force, for work without the program. */
  @Post('paper-sheets')
  @Allow('technician', 'releaser', 'manager', 'director')
  print(@Acting() acting: Acting, @Body() body: PrintSheetsDto, @OnceKey() key?: string): Promise<PaperSheetDto[]> {
    return this.sheets.print(acting, body, key);
  }

  /** The sheets of these numbers, for the printer. */
  @Get('paper-sheets/sheets.pdf')
  @SignedIn()
  @ApiProduces('application/pdf')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async pdf(@Acting() acting: Acting, @Query() query: SheetsToPrintDto): Promise<StreamableFile> {
    const content = await this.sheets.pdf(acting, query);
    const disposition = `inline; filename="paper-sheets-${query.from}-to-${query.to}.pdf"`;
    return new StreamableFile(content, { type: 'application/pdf', disposition });
  }

  /** Nothing will be entered from this sheet, and why. */
  @Post('paper-sheets/:id/void')
  @Allow('technician', 'releaser', 'manager', 'director')
  void(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() { reason }: VoidSheetDto,
    @OnceKey() key?: string,
  ): Promise<PaperSheetDto> {
    return this.sheets.void(acting, id, reason, key);
  }

  /** What stands on the sheet that a run was entered from, in one act. */
  @Post('runs/:id/paper-entry')
  @Allow('technician', 'releaser')
  async enter(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: PaperEntryDto,
    @OnceKey() key?: string,
  ): Promise<RunViewDto> {
    await this.runs.enterSheet(acting, id, body, key);
    return this.runs.view(acting, id);
  }
}
