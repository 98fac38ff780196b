import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  ResultHoldDto,
  NewResultHoldDto,
  NewReleaseDto,
  NewUpholdingDto,
  NewWithdrawalDto,
  ReleaseDto,
  ReleaseQueryDto,
} from '../../contract/releases.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { ReleasesService } from './releases.service.js';

@ApiTags('releases')
@Controller()
export class ReleasesController {
  constructor(private readonly service: ReleasesService) {}

  /** Lets a result out by a signature; refused while the gate holds it, unless two people sign an exception. */
  @Post('runs/:id/releases')
  @Allow('releaser')
  release(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() wanted: NewReleaseDto,
    @OnceKey() key: string | undefined,
  ): Promise<ReleaseDto> {
    return this.service.release(acting, id, wanted, key);
  }

  /** Releases, the newest first. */
  @Get('releases')
  @SignedIn()
  list(@Acting() acting: Acting, @Query() { run }: ReleaseQueryDto): Promise<ReleaseDto[]> {
    return this.service.list(acting, run);
  }

  /** Says, signed, that a release which is looked at again stands after all; over a stop, two people sign. */
  @Post('releases/:id/upholding')
  @Allow('releaser', 'director')
  uphold(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() asked: NewUpholdingDto,
    @OnceKey() key: string | undefined,
  ): Promise<ReleaseDto> {
    return this.service.uphold(acting, id, asked, key);
  }

  /** Takes a release back, signed, with whom it was told to. */
  @Post('releases/:id/withdrawal')
  @Allow('releaser', 'director')
  withdraw(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() asked: NewWithdrawalDto,
    @OnceKey() key: string | undefined,
  ): Promise<ReleaseDto> {
    return this.service.withdraw(acting, id, asked, key);
  }

  /** Who held results of a run back, and who let them go on; earliest first. */
  @Get('runs/:id/holds')
  @SignedIn()
  holds(@Acting() acting: Acting, @Param('id') id: string): Promise<ResultHoldDto[]> {
    return this.service.holds(acting, id);
  }

  /** Holds a result back whatever the gate says, or lets it go on. */
  @Post('runs/:id/holds')
  @Allow('releaser', 'director')
  hold(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() asked: NewResultHoldDto,
    @OnceKey() key: string | undefined,
  ): Promise<ResultHoldDto[]> {
    return this.service.hold(acting, id, asked, key);
  }
}
