import { Body, Controller, Get, HttpCode, Param, ParseIntPipe, Post, Query } from '@nestjs/common';
import {
  ControlTaskQueryDto,
  ControlTasksDto,
  DaysWithoutDto,
  DaysWithoutQueryDto,
  LaboratoryCalendarDto,
  NewControlPlanDto,
  PlanApprovalDto,
  PlanDto,
  PlanSummaryDto,
} from '../../contract/control-plans.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { ControlPlansService } from './control-plans.service.js';
import { ControlTasksService } from './control-tasks.service.js';

@Controller()
export class ControlPlansController {
  constructor(
    private readonly plans: ControlPlansService,
    private readonly tasks: ControlTasksService,
  ) {}

  /** The plan of each protocol that is approved here. */
  @Get('control-plans')
  @SignedIn()
  list(@Acting() acting: Acting): Promise<PlanSummaryDto[]> {
    return this.plans.list(acting);
  }

  /** What the published rules ask of a protocol, what counts now, and the laboratory's own plans. */
  @Get('control-plans/:protocol')
  @SignedIn()
  read(@Acting() acting: Acting, @Param('protocol') protocol: string): Promise<PlanDto> {
    return this.plans.read(acting, protocol);
  }

  /** Saves a plan of the laboratory's own; refused when it is laxer than the published rules. */
  @Post('control-plans/:protocol')
  @Allow('manager', 'director')
  draft(
    @Acting() acting: Acting,
    @Param('protocol') protocol: string,
    @Body() body: NewControlPlanDto,
    @OnceKey() key?: string,
  ): Promise<PlanDto> {
    return this.plans.draft(acting, protocol, body, key);
  }

  @Post('control-plans/:protocol/:number/approve')
  @HttpCode(200)
  @Allow('director')
  approve(
    @Acting() acting: Acting,
    @Param('protocol') protocol: string,
    @Param('number', ParseIntPipe) number: number,
    @Body() body: PlanApprovalDto,
    @OnceKey() key?: string,
  ): Promise<PlanDto> {
    return this.plans.approve(acting, { protocol, number }, body, key);
  }

  /** The controls of a day, today's unless another is asked for. */
  @Get('control-tasks')
  @SignedIn()
  due(@Acting() acting: Acting, @Query() query: ControlTaskQueryDto): Promise<ControlTasksDto> {
    return this.tasks.ofDay(acting, query);
  }

  /** Days of use, and which of them went without a control, by protocol. */
  @Get('control-days-without')
  @SignedIn()
  daysWithout(@Acting() acting: Acting, @Query() query: DaysWithoutQueryDto): Promise<DaysWithoutDto> {
    return this.tasks.daysWithout(acting, query);
  }

  /** When the laboratory is open. */
  @Get('laboratory-calendar')
  @SignedIn()
  calendar(@Acting() acting: Acting): Promise<LaboratoryCalendarDto> {
    return this.plans.calendar(acting);
  }

  @Post('laboratory-calendar')
  @HttpCode(200)
  @Allow('manager', 'director')
  setCalendar(
    @Acting() acting: Acting,
    @Body() body: LaboratoryCalendarDto,
    @OnceKey() key?: string,
  ): Promise<LaboratoryCalendarDto> {
    return this.plans.setCalendar(acting, body, key);
  }
}
