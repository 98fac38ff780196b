import { Body, Controller, Get, HttpCode, Post } from '@nestjs/common';
import { CurrentPlanDto, NewPlanDto, PlanAskedDto, PlanDraftDto } from '../../contract/plans.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { PlansService } from './plans.service.js';

@Controller('plans')
export class PlansController {
  constructor(private readonly plans: PlansService) {}

  /** The plan of the bench that was accepted last, and which of its runs have been started. */
  @Get('current')
  @SignedIn()
  current(@Acting() acting: Acting): Promise<CurrentPlanDto> {
    return this.plans.current(acting);
  }

  /** Start times for runs to do beside those that go already, within about two seconds; nothing is kept. */
  @Post('drafts')
  @HttpCode(200)
  @Allow('technician', 'releaser', 'manager', 'director')
  draft(@Acting() acting: Acting, @Body() body: PlanAskedDto): Promise<PlanDraftDto> {
    return this.plans.draft(acting, body);
  }

  /** Accepts a draft, checked again against what has begun by now; it takes the place of the plan before. */
  @Post()
  @Allow('technician', 'releaser', 'manager', 'director')
  accept(@Acting() acting: Acting, @Body() body: NewPlanDto, @OnceKey() key?: string): Promise<CurrentPlanDto> {
    return this.plans.accept(acting, body, key);
  }
}
