import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  LooksDto,
  LooksQueryDto,
  NewReviewGrantDto,
  OwnScopeDto,
  ReviewGrantDto,
  ReviewRevocationDto,
} from '../../contract/review.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { GrantsService } from './grants.service.js';

@ApiTags('review')
@Controller('review')
export class GrantsController {
  constructor(private readonly service: GrantsService) {}

  /** What the caller may see of the record. */
  @Get('scope')
  @SignedIn()
  own(@Acting() acting: Acting): Promise<OwnScopeDto> {
    return this.service.own(acting);
  }

  /** What reviewers were granted, the latest first. */
  @Get('grants')
  @Allow('administrator', 'director', 'manager')
  list(@Acting() acting: Acting): Promise<ReviewGrantDto[]> {
    return this.service.list(acting);
  }

  /** Gives a reviewer access to a part of the record for a time. */
  @Post('grants')
  @Allow('administrator', 'director')
  give(
    @Acting() acting: Acting,
    @Body() asked: NewReviewGrantDto,
    @OnceKey() key: string | undefined,
  ): Promise<ReviewGrantDto> {
    return this.service.give(acting, asked, key);
  }

  /** Takes access back before its time. */
  @Post('grants/:id/revocation')
  @Allow('administrator', 'director')
  revoke(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() { reason }: ReviewRevocationDto,
    @OnceKey() key: string | undefined,
  ): Promise<ReviewGrantDto> {
    return this.service.revoke(acting, id, reason, key);
  }

  /** What reviewers looked at, the latest first. */
  @Get('looks')
  @Allow('administrator', 'director', 'manager')
  looks(@Acting() acting: Acting, @Query() query: LooksQueryDto): Promise<LooksDto> {
    return this.service.looks(acting, query);
  }
}
