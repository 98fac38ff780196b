import { Body, Controller, Get, Param, Post } from '@nestjs/common';
import {
  BuyingDto,
  NewBuyingDto,
  NewProductDto,
  NewStockPolicyDto,
  NewSupplierDto,
  ProductDto,
  StockPolicyDto,
  SupplierDto,
} from '../../contract/buying.dto.js';
import { OutlookDto, OutlookListDto, ReorderDto } from '../../contract/outlook.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { BuyingService } from './buying.service.js';
import { OutlookService } from './outlook.service.js';

@Controller()
export class BuyingController {
  constructor(
    private readonly buying: BuyingService,
    private readonly outlook: OutlookService,
  ) {}

  @Get('suppliers')
  @SignedIn()
  suppliers(@Acting() acting: Acting): Promise<SupplierDto[]> {
    return this.buying.suppliers(acting);
  }

  /** Writes a supplier down; a code that is known is written anew. */
  @Post('suppliers')
  @Allow('manager', 'director')
  setSupplier(@Acting() acting: Acting, @Body() body: NewSupplierDto, @OnceKey() key?: string): Promise<SupplierDto> {
    return this.buying.setSupplier(acting, body, key);
  }

  @Get('products')
  @SignedIn()
  products(@Acting() acting: Acting): Promise<ProductDto[]> {
    return this.buying.products(acting);
  }

  /** Writes a product down; a code that is known is written anew. */
  @Post('products')
  @Allow('manager', 'director')
  setProduct(@Acting() acting: Acting, @Body() body: NewProductDto, @OnceKey() key?: string): Promise<ProductDto> {
    return this.buying.setProduct(acting, body, key);
  }

  /** How reagents are kept in stock, where that was set. */
  @Get('stock-policies')
  @SignedIn()
  policies(@Acting() acting: Acting): Promise<StockPolicyDto[]> {
    return this.buying.policies(acting);
  }

  @Post('stock-policies/:reagent')
  @Allow('manager', 'director')
  setPolicy(
    @Acting() acting: Acting,
    @Param('reagent') reagent: string,
    @Body() body: NewStockPolicyDto,
    @OnceKey() key?: string,
  ): Promise<StockPolicyDto> {
    return this.buying.setPolicy(acting, reagent, body, key);
  }

  /** Currency, the limit above which the director signs, and where deliveries go. */
  @Get('buying')
  @SignedIn()
  rules(@Acting() acting: Acting): Promise<BuyingDto> {
    return this.buying.buying(acting);
  }

  @Post('buying')
  @Allow('director')
  setRules(@Acting() acting: Acting, @Body() body: NewBuyingDto, @OnceKey() key?: string): Promise<BuyingDto> {
    return this.buying.setBuying(acting, body, key);
  }

  /** What runs out when, the most pressing first. */
  @Get('outlook')
  @SignedIn()
  lines(@Acting() acting: Acting): Promise<OutlookListDto> {
    return this.outlook.lines(acting);
  }

  /** One reagent with the whole arithmetic and the course of its stock. */
  @Get('outlook/:reagent')
  @SignedIn()
  one(@Acting() acting: Acting, @Param('reagent') reagent: string): Promise<OutlookDto> {
    return this.outlook.one(acting, reagent);
  }

  /** What to order now, by supplier. */
  @Get('reorder')
  @SignedIn()
  reorder(@Acting() acting: Acting): Promise<ReorderDto> {
    return this.outlook.reorder(acting);
  }
}
