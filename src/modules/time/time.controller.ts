import { Controller, Get, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Clock } from '../../clock.js';
import { TimeAnswerDto, TimeQuestionDto } from '../../contract/time.dto.js';
import { epochMs } from '../../core/time/instant.js';
import { Public } from '../http/access.js';

@ApiTags('time')
@Controller('time')
export class TimeController {
  constructor(private readonly clock: Clock) {}

  /** The four-instant exchange of NTP (RFC 5905 section 8): the caller adds t4 and reckons offset and round trip. */
  @Public()
  @Get()
  exchange(@Query() { t1 }: TimeQuestionDto): TimeAnswerDto {
    const t2 = epochMs(this.clock.now());
    return { t1, t2, t3: epochMs(this.clock.now()) };
  }
}
