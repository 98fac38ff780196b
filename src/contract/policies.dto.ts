import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayUnique, Equals, IsArray, IsIn, IsNumber, IsString, Length, Matches } from 'class-validator';
import { WEIGHTS, type Weight } from '../core/gate/finding.js';
import type { TightenedRule } from '../core/gate/policy.js';
import { SignatureDto } from './run-view.dto.js';
import { Id, Many, MayBeAbsent, Text } from './shape.js';

export class RuleNumberDto {
  @Text(40) name: string;
  @IsNumber({ allowNaN: false, allowInfinity: false }) value: number;
}

export class TightenedRuleDto implements TightenedRule {
  /** Code of one of the gate's rules. */
  @Id() rule: string;
  /** It weighs at least this. */
  @MayBeAbsent() @IsIn(['caution', 'stop']) weight?: 'caution' | 'stop';
  /** No exception may let a result out over it. */
  @MayBeAbsent() @Equals(true) neverExcused?: true;
  /** Numbers of the rule, by the names that it gives them. */
  @MayBeAbsent() @Many(() => RuleNumberDto, 10) limits?: RuleNumberDto[];
}

export class NewPolicyDto {
  /** All that the laboratory tightens; a rule left out stands as the program has it. */
  @Many(() => TightenedRuleDto, 200) rules: TightenedRuleDto[];
  /** Codes of the rules that become less strict than in the revision before; each has to be named. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 64, { each: true })
  eases?: string[];
  /** First day on which it counts, by the laboratory's calendar. */
  @IsString()
  @Matches(/^\d{4}-\d\d-\d\d$/, { message: '$property must be a day, such as 2026-12-01' })
  effectiveFrom: string;
  @Text(1000) reason: string;
  /** The signer's own, asked again at each signature. */
  @Text(200) password: string;
}

/** A signed revision of what the laboratory tightens. */
export class PolicyRevisionDto {
  id: string;
  number: number;
  rules: TightenedRuleDto[];
  /** Rules that it made less strict than the revision before. */
  eases: string[];
  /** First instant on which it counts: for runs that start then or later. */
  effectiveFrom: string;
  reason: string;
  contentHash: string;
  signature: SignatureDto;
  /** Whether it counts for a run that starts now. */
  inForce: boolean;
}

export class PoliciesDto {
  /** Newest first. */
  revisions: PolicyRevisionDto[];
}

export class RuleLimitDto {
  name: string;
  title: string;
  @ApiProperty({ enum: ['min', 'h'] }) unit: 'min' | 'h';
  /** As published; null where nothing is published. */
  @ApiProperty({ type: Number, nullable: true }) value: number | null;
  /** Which way is stricter. */
  @ApiProperty({ enum: ['less', 'more'] }) stricter: 'less' | 'more';
  /** As it counts here for a run that starts now; null where there is none. */
  @ApiProperty({ type: Number, nullable: true }) counts: number | null;
}

/** What a clause asks, in our own words; the source decides. */
export class ClauseDto {
  key: string;
  citation: string;
  asks: string;
  @ApiProperty({ enum: ['read', 'from memory'] }) basis: 'read' | 'from memory';
  /** Id of the requirement whose proof the record can show for it. */
  proof?: string;
}

/** A rule of the gate, as the program has it and as it counts here for a run that starts now. */
export class RuleDto {
  code: string;
  title: string;
  /** As the program has it. */
  @ApiProperty({ enum: [...WEIGHTS, 'by step'] }) weight: Weight | 'by step';
  /** As it counts here. */
  @ApiProperty({ enum: [...WEIGHTS, 'by step'] }) counts: Weight | 'by step';
  /** What it weighs at least here, whatever the step. */
  @ApiProperty({ enum: WEIGHTS }) least: Weight;
  mend: string;
  source: string;
  /** The clauses that it serves. */
  serves: ClauseDto[];
  /** Whether a signed exception can let a result out over it here. */
  excusable: boolean;
  limits: RuleLimitDto[];
  /** Whether the laboratory's policy names it. */
  tightened: boolean;
}
