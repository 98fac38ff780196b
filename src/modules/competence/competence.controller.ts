import { Body, Controller, Get, HttpCode, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { CompetenceListDto, NewCompetenceDto } from '../../contract/competence.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { CompetenceService } from './competence.service.js';

@ApiTags('competence')
@Controller()
export class CompetenceController {
  constructor(private readonly service: CompetenceService) {}

  /** Where everybody who works at a bench stands with every protocol in force. */
  @Get('competence')
  @SignedIn()
  list(@Acting() acting: Acting): Promise<CompetenceListDto> {
    return this.service.list(acting);
  }

  /** Decides on a person's competence in a protocol, with a signature. */
  @Post('people/:id/competence')
  @HttpCode(204)
  @Allow('director', 'manager')
  decide(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() asked: NewCompetenceDto,
    @OnceKey() key: string | undefined,
  ): Promise<void> {
    return this.service.decide(acting, id, asked, key);
  }
}
