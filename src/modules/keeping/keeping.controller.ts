import { Body, Controller, Get, Param, Post } from '@nestjs/common';
import { KeepingDto, LiftedHoldDto, NewKeepingTermDto, NewLegalHoldDto } from '../../contract/keeping.dto.js';
import { Acting, Allow, OnceKey } from '../http/access.js';
import { KeepingService } from './keeping.service.js';

/** For how long records are kept. The program itself deletes none. */
@Controller('keeping')
export class KeepingController {
  constructor(private readonly keeping: KeepingService) {}

  /** What is kept of every kind, for how long and by which rule, and what is held. */
  @Get()
  @Allow('manager', 'director', 'administrator')
  read(@Acting() acting: Acting): Promise<KeepingDto> {
    return this.keeping.read(acting);
  }

  /** Signs for how long a kind is kept here; never shorter than the law asks for. */
  @Post('terms')
  @Allow('director')
  setTerm(@Acting() acting: Acting, @Body() body: NewKeepingTermDto, @OnceKey() key?: string): Promise<KeepingDto> {
    return this.keeping.setTerm(acting, body, key);
  }

  /** Signs a legal hold. */
  @Post('holds')
  @Allow('director')
  hold(@Acting() acting: Acting, @Body() body: NewLegalHoldDto, @OnceKey() key?: string): Promise<KeepingDto> {
    return this.keeping.hold(acting, body, key);
  }

  /** Lifts a legal hold, signed. */
  @Post('holds/:id/end')
  @Allow('director')
  lift(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() body: LiftedHoldDto,
    @OnceKey() key?: string,
  ): Promise<KeepingDto> {
    return this.keeping.lift(acting, id, body, key);
  }
}
