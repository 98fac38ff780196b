import { Body, Controller, Get, Post } from '@nestjs/common';
import { NewPolicyDto, PoliciesDto, RuleDto } from '../../contract/policies.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { PoliciesService } from './policies.service.js';

@Controller()
export class PoliciesController {
  constructor(private readonly policies: PoliciesService) {}

  /** The gate's rules: what each says, weighs here and serves. */
  @Get('gate/rules')
  @SignedIn()
  rules(@Acting() acting: Acting): Promise<RuleDto[]> {
    return this.policies.rules(acting);
  }

  /** The signed revisions of what the laboratory makes stricter. */
  @Get('policies')
  @SignedIn()
  list(@Acting() acting: Acting): Promise<PoliciesDto> {
    return this.policies.list(acting);
  }

  /** Signs the next revision: a rule becomes stricter, never weaker than the program has it. */
  @Post('policies')
  @Allow('director')
  sign(@Acting() acting: Acting, @Body() body: NewPolicyDto, @OnceKey() key?: string): Promise<PoliciesDto> {
    return this.policies.sign(acting, body, key);
  }
}
