import { Readable } from 'node:stream';
import { Body, Controller, Get, Headers, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import {
  BookedDto,
  CountDto,
  CountListDto,
  CountQueryDto,
  ImportedDto,
  ImportQueryDto,
  LedgerChoiceDto,
  LedgerQueryDto,
  MovementListDto,
  NewCountDto,
  NewMovementDto,
  OnHandChoiceDto,
  OnHandListDto,
  OnHandQueryDto,
  OpenCountListDto,
  WasteDto,
  WasteQueryDto,
} from '../../contract/ledger.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { RawBody, TakesRaw } from '../http/raw-body.js';
import { CsvAnswer } from '../http/csv-file.js';
import { ExportService } from './export.service.js';
import { ImportService } from './import.service.js';
import { LedgerService } from './ledger.service.js';
import { CSV, XLSX } from './tables.js';

@Controller()
export class LedgerController {
  constructor(
    private readonly ledger: LedgerService,
    private readonly exports: ExportService,
    private readonly imports: ImportService,
  ) {}

  /** Books by hand what was used, discarded or put right of a container. */
  @Post('containers/:id/movements')
  @Allow('technician', 'manager', 'director')
  move(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewMovementDto,
    @OnceKey() key?: string,
  ): Promise<BookedDto> {
    return this.ledger.move(acting, id, body, key);
  }

  /** Keeps what was found in a container and puts the ledger right by it. */
  @Post('containers/:id/count')
  @Allow('technician', 'manager', 'director')
  count(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewCountDto,
    @OnceKey() key?: string,
  ): Promise<CountDto> {
    return this.ledger.count(acting, id, body, key);
  }

  /** Movements of stock, the newest first. */
  @Get('ledger')
  @SignedIn()
  movements(@Acting() acting: Acting, @Query() query: LedgerQueryDto): Promise<MovementListDto> {
    return this.ledger.ledger(acting, query);
  }

  /** What is here by reagent, each with its containers in the order in which they should be taken. */
  @Get('stock/on-hand')
  @SignedIn()
  onHand(@Acting() acting: Acting, @Query() query: OnHandQueryDto): Promise<OnHandListDto> {
    return this.ledger.onHand(acting, query);
  }

  /** Containers that should be counted. */
  @Get('stock/counts/open')
  @SignedIn()
  openCounts(@Acting() acting: Acting): Promise<OpenCountListDto> {
    return this.ledger.openCounts(acting);
  }

  /** Counts with what they found, the newest first. */
  @Get('stock/counts')
  @SignedIn()
  counts(@Acting() acting: Acting, @Query() query: CountQueryDto): Promise<CountListDto> {
    return this.ledger.counts(acting, query);
  }

  /** What was thrown away or is past its end, by month and reagent. */
  @Get('stock/waste')
  @SignedIn()
  waste(@Acting() acting: Acting, @Query() query: WasteQueryDto): Promise<WasteDto> {
    return this.ledger.waste(acting, query);
  }

  /** The ledger as CSV, the newest first; text that a spreadsheet would take for a formula has an apostrophe before it. */
  @Get('ledger.csv')
  @SignedIn()
  @CsvAnswer()
  ledgerCsv(@Acting() acting: Acting, @Query() query: LedgerChoiceDto): Promise<StreamableFile> {
    return this.exports.ledgerCsv(acting, query);
  }

  /** What is here as CSV, one row a container. */
  @Get('stock/on-hand.csv')
  @SignedIn()
  @CsvAnswer()
  onHandCsv(@Acting() acting: Acting, @Query() query: OnHandChoiceDto): Promise<StreamableFile> {
    return this.exports.onHandCsv(acting, query);
  }

  /** What is here as a workbook, one row a container. */
  @Get('stock/on-hand.xlsx')
  @SignedIn()
  @ApiProduces(XLSX)
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async onHandXlsx(@Acting() acting: Acting, @Query() query: OnHandChoiceDto): Promise<StreamableFile> {
    return new StreamableFile(await this.exports.onHandXlsx(acting, query), {
      type: XLSX,
      disposition: 'attachment; filename="on-hand.xlsx"',
    });
  }

  /**
   * Takes opening stock from a table, sent as the body itself. Nothing is taken while a row is wrong, unless the right ones
   * are asked for; a dry run only tells.
   */
  @Post('stock/import')
  @HttpCode(200)
  @Allow('manager', 'director')
  @TakesRaw(CSV, XLSX)
  import(
    @Acting() acting: Acting,
    @Query() { dryRun, takeRightRows, encoding }: ImportQueryDto,
    @Headers('content-type') type: string,
    @RawBody() body: Readable,
    @OnceKey() key?: string,
  ): Promise<ImportedDto> {
    const wish = {
      dryRun: dryRun === 'true',
      takeRightRows: takeRightRows === 'true',
      encoding,
      type: type.split(';', 1)[0]?.trim().toLowerCase() ?? '',
    };
    return this.imports.take(acting, body, wish, key);
  }
}
