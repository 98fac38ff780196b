import { Body, Controller, Get, Param, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import { FindInListDto } from '../../contract/list.dto.js';
import {
  EditedOrderDto,
  NewOrderDto,
  NewReceiptDto,
  NewRefusalDto,
  OrderApprovalDto,
  OrderDto,
  OrderEndDto,
  OrderListDto,
  OrderQueryDto,
  OrderSentDto,
  OrderSummaryDto,
} from '../../contract/orders.dto.js';
import { holdsText, orderTexts } from '../../core/find/lists.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { A_PAGE, type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { orderCsv } from './documents/csv.js';
import { orderPdf } from './documents/pdf.js';
import { orderUbl } from './documents/ubl.js';
import { DocumentsService } from './documents.service.js';
import { OrdersService } from './orders.service.js';
import { ReceiptsService } from './receipts.service.js';

const ORDER_COLUMNS: Columns<OrderSummaryDto> = {
  id: ({ id }) => id,
  number: ({ number }) => number,
  supplier: ({ supplier }) => supplier,
  name: ({ supplierName }) => supplierName,
  drafted: ({ at }) => at,
  state: ({ state }) => state,
  'wanted by': ({ wantedBy }) => wantedBy,
  lines: ({ lineCount }) => lineCount,
  total: ({ totalCents }) => totalCents / 100,
  currency: ({ currency }) => currency,
};

@Controller('orders')
export class OrdersController {
  constructor(
    private readonly orders: OrdersService,
    private readonly receipts: ReceiptsService,
    private readonly documents: DocumentsService,
  ) {}

  /** Orders, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: OrderQueryDto): Promise<OrderListDto> {
    return this.orders.list(acting, query);
  }

  /** Drafts an order, from what was proposed or by hand. */
  @Post()
  @Allow('manager', 'director')
  draft(@Acting() acting: Acting, @Body() body: NewOrderDto, @OnceKey() key?: string): Promise<OrderDto> {
    return this.orders.draft(acting, body, key);
  }

  /** The same orders as CSV, those in whose number, supplier or state a text stands. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  listCsv(@Acting() acting: Acting, @Query() { find = '' }: FindInListDto): Promise<StreamableFile> {
    const pages = pagesOf(async (after) => {
      const { items, next } = await this.orders.list(acting, { take: A_PAGE, after });
      return { items: items.filter((order) => holdsText(find, orderTexts(order))), next };
    });
    return listFile('orders', ORDER_COLUMNS, pages);
  }

  @Get(':id')
  @SignedIn()
  order(@Acting() acting: Acting, @Param('id') id: string): Promise<OrderDto> {
    return this.orders.order(acting, id);
  }

  /** Writes the lines of a draft anew. */
  @Post(':id/lines')
  @Allow('manager', 'director')
  edit(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: EditedOrderDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.orders.edit(acting, id, body, key);
  }

  /** Approves a draft as it was seen; above the laboratory's limit only by the director's signature. */
  @Post(':id/approve')
  @Allow('manager', 'director')
  approve(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: OrderApprovalDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.orders.approve(acting, id, body, key);
  }

  /** Says that an order went to the supplier, and how. */
  @Post(':id/sent')
  @Allow('manager', 'director')
  sent(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: OrderSentDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.orders.sent(acting, id, body, key);
  }

  /** Cancels an order of which nothing came. */
  @Post(':id/cancel')
  @Allow('manager', 'director')
  cancel(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: OrderEndDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.orders.cancel(acting, id, body, key);
  }

  /** Closes an order of which the rest will not come. */
  @Post(':id/close')
  @Allow('manager', 'director')
  close(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: OrderEndDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.orders.close(acting, id, body, key);
  }

  /** Takes what came on a line into stock; what is odd about it needs a reason. */
  @Post(':id/receipts')
  @Allow('technician', 'manager', 'director')
  receive(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewReceiptDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.receipts.receive(acting, id, body, key);
  }

  /** Keeps that a delivery was sent back, and why. */
  @Post(':id/refusals')
  @Allow('technician', 'manager', 'director')
  refuse(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: NewRefusalDto,
    @OnceKey() key?: string,
  ): Promise<OrderDto> {
    return this.receipts.refuse(acting, id, body, key);
  }

  /** The order as a letter. */
  @Get(':id/order.pdf')
  @SignedIn()
  @ApiProduces('application/pdf')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async pdf(@Acting() acting: Acting, @Param('id') id: string): Promise<StreamableFile> {
    const paper = await this.documents.paper(acting, id);
    return saved(await orderPdf(paper), 'application/pdf', `order-${paper.number}.pdf`);
  }

  /** The order's lines as CSV. */
  @Get(':id/order.csv')
  @SignedIn()
  @ApiProduces('text/csv')
  @ApiOkResponse({ schema: { type: 'string' } })
  async csv(@Acting() acting: Acting, @Param('id') id: string): Promise<StreamableFile> {
    const paper = await this.documents.paper(acting, id);
    return saved(Buffer.from(orderCsv(paper)), 'text/csv; charset=utf-8', `order-${paper.number}.csv`);
  }

  /** The order as a UBL 2.1 Order. */
  @Get(':id/order.xml')
  @SignedIn()
  @ApiProduces('application/xml')
  @ApiOkResponse({ schema: { type: 'string' } })
  async ubl(@Acting() acting: Acting, @Param('id') id: string): Promise<StreamableFile> {
    const paper = await this.documents.paper(acting, id);
    return saved(Buffer.from(orderUbl(paper)), 'application/xml; charset=utf-8', `order-${paper.number}.xml`);
  }
}

function saved(content: Buffer, type: string, name: string): StreamableFile {
  return new StreamableFile(content, {
    type,
    disposition: `attachment; filename="${name}"`,
    length: content.length,
  });
}
