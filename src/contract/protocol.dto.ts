import {
  ArrayMaxSize,
  ArrayMinSize,
  Equals,
  IsArray,
  IsBoolean,
  IsIn,
  IsInt,
  IsString,
  Length,
  Max,
  Min,
} from 'class-validator';
import {
  CONTROL_KINDS,
  CONTROL_TIMES,
  FIGURE_STATUSES,
  STAIN_CATEGORIES,
  TIME_UNITS,
} from '../core/protocol/protocol.js';
import type {
  Caution,
  ChangeRule,
  Concentration,
  ControlKind,
  ControlRequirement,
  FigureStatus,
  CytologyRule,
  Fitness,
  Gap,
  Material,
  Protocol,
  ReleasePoint,
  StainCategory,
  Step,
  StepTake,
  StepTime,
  Temperature,
  TimeUnit,
} from '../core/protocol/protocol.js';
import { Amount, Finite, Id, Many, MayBeAbsent, Names, One, SOURCE_KEY, Text } from './shape.js';

export class MaterialDto implements Material {
  @IsIn(['fresh tissue', 'section', 'smear']) form: 'fresh tissue' | 'section' | 'smear';
  @Text(500) description: string;
  @IsBoolean() irreplaceable: boolean;
}

export class ConcentrationDto implements Concentration {
  @Text(500) text: string;
  @MayBeAbsent() @Amount() value?: number;
  @MayBeAbsent() @Text(50) unit?: string;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

export class StepTimeDto implements StepTime {
  @MayBeAbsent() @Amount() min?: number;
  @Amount() target: number;
  @MayBeAbsent() @Amount() max?: number;
  @IsIn(TIME_UNITS) unit: TimeUnit;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
  @IsIn(FIGURE_STATUSES) window: FigureStatus;
}

export class GapDto implements Gap {
  @Amount() max: number;
  @IsIn(TIME_UNITS) unit: TimeUnit;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
  @Text(500) why: string;
}

export class HandsOnDto {
  @Amount() start: number;
  @Amount() end: number;
}

export class TemperatureDto implements Temperature {
  @Finite() target: number;
  @MayBeAbsent() @Finite() min?: number;
  @MayBeAbsent() @Finite() max?: number;
  @Text(50) unit: string;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
  @MayBeAbsent() @Equals(true) record?: true;
}

export class StepTakeDto implements StepTake {
  @Amount() amount: number;
  @Text(50) unit: string;
  @IsIn(['slide', 'run']) per: 'slide' | 'run';
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

export class StepDto implements Step {
  @Id() id: string;
  @Text(200) action: string;
  @MayBeAbsent() @Id() reagent?: string;
  @MayBeAbsent() @One(() => ConcentrationDto) concentration?: ConcentrationDto;
  @Text(100) vessel: string;
  @One(() => StepTimeDto) time: StepTimeDto;
  @MayBeAbsent() @One(() => GapDto) gap?: GapDto;
  @IsIn(['clock', 'eye']) end: 'clock' | 'eye';
  @IsBoolean() critical: boolean;
  @MayBeAbsent() @Equals('caution') offence?: 'caution';
  @One(() => HandsOnDto) handsOn: HandsOnDto;
  @MayBeAbsent() @One(() => TemperatureDto) temperature?: TemperatureDto;
  @MayBeAbsent() @Text(200) agitation?: string;
  @MayBeAbsent() @IsInt() @Min(1) @Max(1000) dips?: number;
  @MayBeAbsent() @One(() => StepTakeDto) takes?: StepTakeDto;
  @MayBeAbsent() @Equals(true) optional?: true;
  @MayBeAbsent() @Text(1000) note?: string;
  @Names(SOURCE_KEY, 'karen2009') sources: string[];
}

export class ReleasePointDto implements ReleasePoint {
  @Id() id: string;
  @Text(200) title: string;
  @IsIn(['specimen', 'slide']) of: 'specimen' | 'slide';
  @Id() after: string;
}

export class ControlRequirementDto implements ControlRequirement {
  @Id() id: string;
  @IsIn(CONTROL_KINDS) kind: ControlKind;
  @Text(500) material: string;
  @Text(500) expected: string;
  @IsIn(CONTROL_TIMES) when: (typeof CONTROL_TIMES)[number];
  @IsBoolean() required: boolean;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
  @Names(SOURCE_KEY, 'cfr1273') sources: string[];
}

export class CautionDto implements Caution {
  @Text(200) agent: string;
  @IsArray() @ArrayMaxSize(50) @IsString({ each: true }) @Length(1, 12, { each: true }) codes: string[];
  @IsIn(['Danger', 'Warning', 'none']) signal: 'Danger' | 'Warning' | 'none';
  @MayBeAbsent() @Text(1000) advice?: string;
  @Text(64) source: string;
}

export class ChangeRuleDto implements ChangeRule {
  @Text(1000) text: string;
  @MayBeAbsent() @IsInt() @Min(1) maxSlides?: number;
  @MayBeAbsent() @Amount() maxDays?: number;
  @MayBeAbsent() @IsInt() @Min(1) maxPatientsPerAliquot?: number;
  @MayBeAbsent() @Text(500) filter?: string;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

export class StorageLineDto {
  @Text(500) text: string;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

export class CytologyRuleDto implements CytologyRule {
  @MayBeAbsent() @Equals(true) papanicolaou?: true;
  @MayBeAbsent() @Text(500) separation?: string;
}

export class FitnessDto implements Fitness {
  @Text(100) use: string;
  @MayBeAbsent() @Equals(true) unfit?: true;
  @Text(1000) statement: string;
  @Names(SOURCE_KEY, 'cahill2018') sources: string[];
}

/** A protocol as it stands in a file and in a request: its form only; the rules across fields are core's. */
export class ProtocolDto implements Protocol {
  @Equals('stainwright-protocol/1') format: 'stainwright-protocol/1';
  @Id() id: string;
  @Text(200) title: string;
  @Text(1000) purpose: string;
  @IsIn(STAIN_CATEGORIES) category: StainCategory;
  @IsIn(['bedside', 'laboratory']) setting: 'bedside' | 'laboratory';
  @One(() => MaterialDto) material: MaterialDto;
  @Text(1000) expected: string;
  @Many(() => StepDto, 100) @ArrayMinSize(1) steps: StepDto[];
  @Many(() => ReleasePointDto, 20) @ArrayMinSize(1) releasePoints: ReleasePointDto[];
  @Many(() => ControlRequirementDto, 50) controls: ControlRequirementDto[];
  @Many(() => CautionDto, 50) cautions: CautionDto[];
  @MayBeAbsent() @One(() => ChangeRuleDto) change?: ChangeRuleDto;
  @MayBeAbsent() @One(() => CytologyRuleDto) cytology?: CytologyRuleDto;
  @MayBeAbsent() @Many(() => StorageLineDto, 20) storage?: StorageLineDto[];
  @Many(() => FitnessDto, 20) fitness: FitnessDto[];
  @Names(SOURCE_KEY, 'karen2009') sources: string[];
}
