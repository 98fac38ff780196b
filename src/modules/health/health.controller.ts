import { Controller, Get, type OnModuleInit } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { Config } from '../../config.js';
import { AliveDto, ReadyDto } from '../../contract/health.dto.js';
import { Refusal } from '../../core/refusal.js';
import { lastSeq } from '../../store/questions/entries.js';
import { Store } from '../../store/store.js';
import { Public } from '../http/access.js';
import { HealthChecks } from '../http/health-checks.js';

const ANSWER_WITHIN_MS = 2000;

@ApiTags('health')
@Controller('health')
export class HealthController implements OnModuleInit {
  constructor(
    private readonly checks: HealthChecks,
    private readonly store: Store,
    private readonly config: Config,
  ) {}

  onModuleInit(): void {
    this.checks.add('database', () => this.store.read(this.config.laboratoryId, lastSeq));
  }

  /** Answers while the process runs. */
  @Public()
  @Get('live')
  live(): AliveDto {
    return { status: 'alive' };
  }

  /** Answers 200 while everything that the program depends on answers, 503 otherwise. */
  @Public()
  @Get('ready')
  async ready(): Promise<ReadyDto> {
    const checks = await this.checks.ask(ANSWER_WITHIN_MS);
    const silent = Object.keys(checks).filter((name) => checks[name] !== 'ok');
    if (silent.length > 0) {
      throw new Refusal('unavailable', 'not-ready', `No answer from: ${silent.join(', ')}.`, [], { checks });
    }
    return { status: 'ready', checks };
  }
}
