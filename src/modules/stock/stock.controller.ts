import { Body, Controller, Get, HttpCode, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import {
  ContainerQueryDto,
  LabelQueryDto,
  NewContainerStateDto,
  ContainerDto,
  NewLotDecisionDto,
  LotChoiceDto,
  LotListDto,
  LotQueryDto,
  LotDto,
  NewLotDto,
  ScanDto,
  ScannedDto,
} from '../../contract/stock.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { CsvAnswer, listFile } from '../http/csv-file.js';
import { LabelsService } from './labels.service.js';
import { LOT_COLUMNS } from './lot-columns.js';
import { ScanService } from './scan.service.js';
import { StockService } from './stock.service.js';

@Controller()
export class StockController {
  constructor(
    private readonly stock: StockService,
    private readonly scans: ScanService,
    private readonly labels: LabelsService,
  ) {}

  /** Takes a lot into stock: received from a supplier, or prepared here. */
  @Post('lots')
  @Allow('technician', 'manager', 'director')
  receive(@Acting() acting: Acting, @Body() body: NewLotDto, @OnceKey() key?: string): Promise<LotDto> {
    return this.stock.receive(acting, body, key);
  }

  /** Lots, newest first. */
  @Get('lots')
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: LotQueryDto): Promise<LotListDto> {
    return this.stock.list(acting, query);
  }

  /** The same lots as CSV, narrowed as the page narrows them. */
  @Get('lots/list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() choice: LotChoiceDto): Promise<StreamableFile> {
    return listFile('lots', LOT_COLUMNS, this.stock.listed(acting, choice));
  }

  @Get('lots/:id')
  @SignedIn()
  lot(@Acting() acting: Acting, @Param('id') id: string): Promise<LotDto> {
    return this.stock.lot(acting, id);
  }

  /** Labels of a lot's containers for a sheet of labels, each with our own code. */
  @Get('lots/:id/labels.pdf')
  @SignedIn()
  @ApiProduces('application/pdf')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async labelSheet(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Query() query: LabelQueryDto,
  ): Promise<StreamableFile> {
    const { name, content } = await this.labels.pdf(acting, id, query);
    return new StreamableFile(content, { type: 'application/pdf', disposition: `inline; filename="${name}"` });
  }

  /** Accepts, quarantines, rejects or recalls a lot. */
  @Post('lots/:id/decisions')
  @Allow('manager', 'director')
  decide(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewLotDecisionDto,
    @OnceKey() key?: string,
  ): Promise<LotDto> {
    return this.stock.decide(acting, id, body, key);
  }

  /** The container that carries a label. */
  @Get('containers')
  @SignedIn()
  labelled(@Acting() acting: Acting, @Query() { label }: ContainerQueryDto): Promise<ContainerDto> {
    return this.stock.container(acting, { label });
  }

  @Get('containers/:id')
  @SignedIn()
  container(@Acting() acting: Acting, @Param('id') id: string): Promise<ContainerDto> {
    return this.stock.container(acting, { id });
  }

  /** Opens, empties or discards a container. */
  @Post('containers/:id/state')
  @Allow('technician', 'manager', 'director')
  setState(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewContainerStateDto,
    @OnceKey() key?: string,
  ): Promise<ContainerDto> {
    return this.stock.setState(acting, id, body, key);
  }

  /** Tells what a scanned or typed text names and whether it may be used now; changes nothing. */
  @Post('scan')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director')
  scan(@Acting() acting: Acting, @Body() { text }: ScanDto): Promise<ScannedDto> {
    return this.scans.scan(acting, text);
  }
}
