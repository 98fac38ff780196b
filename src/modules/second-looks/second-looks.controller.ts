import { Controller, Get, HttpCode, Param, Post, Query } from '@nestjs/common';
import { ListDto } from '../../contract/list.dto.js';
import {
  LookedAtListDto,
  LookedAtQueryDto,
  SecondLookDto,
  SecondLookListDto,
} from '../../contract/second-looks.dto.js';
import { Acting, Allow, SignedIn } from '../http/access.js';
import { SecondLooksService } from './second-looks.service.js';

@Controller('second-looks')
export class SecondLooksController {
  constructor(private readonly looks: SecondLooksService) {}

  /** Acts that changed what releases had used, the latest first, with how far each is answered. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: ListDto): Promise<SecondLookListDto> {
    return this.looks.list(acting, query);
  }

  /** Releases that are in question, looked at again, or were so; the latest first. */
  @Get('releases')
  @SignedIn()
  releases(@Acting() acting: Acting, @Query() query: LookedAtQueryDto): Promise<LookedAtListDto> {
    return this.looks.releases(acting, query);
  }

  @Get(':id')
  @SignedIn()
  view(@Acting() acting: Acting, @Param('id') id: string): Promise<SecondLookDto> {
    return this.looks.view(acting, id);
  }

  /** Asks the gate anew for what it has not answered, where the job was given up. */
  @Post(':id/asking')
  @HttpCode(200)
  @Allow('releaser', 'director', 'administrator')
  ask(@Acting() acting: Acting, @Param('id') id: string): Promise<SecondLookDto> {
    return this.looks.ask(acting, id);
  }
}
