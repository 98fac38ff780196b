import { Body, Controller, Get, Param, Post, StreamableFile } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { NewRoundActDto, NewRoundDto, RoundDto } from '../../contract/external-assessment.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { type Columns, CsvAnswer, listFile, wholeOf } from '../http/csv-file.js';
import { ExternalAssessmentService } from './external-assessment.service.js';

const ROUND_COLUMNS: Columns<RoundDto> = {
  id: ({ id }) => id,
  body: ({ body }) => body,
  round: ({ round }) => round,
  protocol: ({ protocolId }) => protocolId,
  received: ({ receivedAt }) => receivedAt,
  due: ({ dueAt }) => dueAt,
  samples: ({ samples }) => samples,
  standing: ({ standing }) => standing,
};

@ApiTags('external assessment')
@Controller('assessment-rounds')
export class ExternalAssessmentController {
  constructor(private readonly service: ExternalAssessmentService) {}

  /** Rounds that outside bodies sent, the newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting): Promise<RoundDto[]> {
    return this.service.list(acting);
  }

  /** The same rounds as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting): Promise<StreamableFile> {
    return listFile(
      'assessment-rounds',
      ROUND_COLUMNS,
      wholeOf(() => this.service.list(acting)),
    );
  }

  @Post()
  @Allow('manager', 'director')
  add(@Acting() acting: Acting, @Body() asked: NewRoundDto, @OnceKey() key: string | undefined): Promise<RoundDto> {
    return this.service.add(acting, asked, key);
  }

  /** Adds what was sent, the score, its cause and what was done, or the signed end of the round. */
  @Post(':id/acts')
  @Allow('manager', 'director')
  act(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() asked: NewRoundActDto,
    @OnceKey() key: string | undefined,
  ): Promise<RoundDto> {
    return this.service.act(acting, id, asked, key);
  }
}
