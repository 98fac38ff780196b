import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsBoolean,
  IsIn,
  IsISO8601,
  IsString,
  Length,
  Matches,
  Max,
  Min,
} from 'class-validator';
import { type HoldKind, HOLD_KINDS } from '../core/lot/lot.js';
import { STORAGE_CLASSES, type StorageClass } from '../core/storage/classes.js';
import type { Reading } from '../core/storage/excursion.js';
import { QuantityDto } from './quantity.dto.js';
import { Finite, Ids, MayBeAbsent, Text } from './shape.js';
import { UnusableReasonDto } from './run-view.dto.js';

/** What a person puts on hold by hand; the other kinds come of what the program sees. */
const HELD_BY_HAND = ['damage', 'storage together', 'other'] as const satisfies readonly HoldKind[];

export class NewPlaceDto {
  /** What stands on its door: capitals, digits and hyphens, such as FRIDGE-1. */
  @IsString()
  @Length(1, 40)
  @Matches(/^[A-Z0-9]+(-[A-Z0-9]+)*$/, {
    message: '$property must be capitals and digits joined by hyphens, such as FRIDGE-1',
  })
  code: string;
  @Text(100) name: string;
  /** Degrees Celsius; left out where nothing is promised. */
  @MayBeAbsent() @Finite() @Min(-200) @Max(100) min?: number;
  @MayBeAbsent() @Finite() @Min(-200) @Max(100) max?: number;
  /** Whether light is kept out. */
  @IsBoolean() dark: boolean;
  /** The storage classes that it is meant for; any when left out. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(8)
  @ArrayUnique()
  @IsIn(STORAGE_CLASSES, { each: true })
  classes?: StorageClass[];
  /** Where things lie that must not be used any more. */
  @MayBeAbsent() @IsBoolean() apart?: boolean;
}

export class NewTemperatureDto extends QuantityDto {
  /** When it was read; now when left out. */
  @MayBeAbsent() @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) at?: string;
}

export class TemperatureImportQueryDto {
  /** 'true' looks the file through and takes nothing. */
  @MayBeAbsent() @IsIn(['true', 'false']) dryRun?: 'true' | 'false';
}

export class NewMoveDto {
  /** Code of the storage place. */
  @Text(40) place: string;
  @MayBeAbsent() @Text(500) reason?: string;
}

export class SetApartDto {
  /** Ids of the containers. */
  @ArrayMinSize(1)
  @Ids(200)
  containers: string[];
  /** Code of a place for what is set apart; may be left out where there is only one. */
  @MayBeAbsent() @Text(40) place?: string;
  @Text(500) reason: string;
}

export class NewHoldDto {
  @IsIn(HELD_BY_HAND) kind: (typeof HELD_BY_HAND)[number];
  @Text(500) reason: string;
}

export class HoldDecisionDto {
  /** Ids of the holds that are decided alike. */
  @ArrayMinSize(1)
  @Ids(500)
  holds: string[];
  /** Whether what is in them may be used after all. */
  @IsBoolean() usable: boolean;
  @Text(500) reason: string;
}

export class NewWaterCheckDto {
  /** False when it was found dry or doubtful. */
  @IsBoolean() wet: boolean;
  @MayBeAbsent() @Text(500) note?: string;
}

export class TemperatureReadingDto implements Reading {
  at: string;
  /** Degrees Celsius. */
  celsius: number;
}

/** What a storage place is called. */
export class PlaceNameDto {
  code: string;
  name: string;
}

export class PlaceDto {
  code: string;
  name: string;
  @ApiProperty({ type: Number, nullable: true }) min: number | null;
  @ApiProperty({ type: Number, nullable: true }) max: number | null;
  dark: boolean;
  @ApiProperty({ enum: STORAGE_CLASSES, isArray: true, nullable: true }) classes: StorageClass[] | null;
  apart: boolean;
  @ApiProperty({ type: TemperatureReadingDto, nullable: true }) latest: TemperatureReadingDto | null;
  /** Whether the latest reading lies outside its limits. */
  outside: boolean;
  /** How many containers lie there. */
  containers: number;
}

export class LyingDto {
  id: string;
  label: string;
  /** Code of its reagent. */
  reagent: string;
  lotId: string;
  since: string;
}

export class HoldDto {
  id: string;
  containerId: string;
  label: string;
  lotId: string;
  lotNumber: string;
  reagent: string;
  @ApiProperty({ enum: HOLD_KINDS }) kind: HoldKind;
  at: string;
  reason: string;
  /** Id of the excursion that it came of. */
  @ApiProperty({ type: String, nullable: true }) causeId: string | null;
}

export class ExcursionDto {
  id: string;
  /** Code of the place. */
  place: string;
  from: string;
  /** Null while no reading was back inside. */
  @ApiProperty({ type: String, nullable: true }) until: string | null;
  @ApiProperty({ type: Number, nullable: true }) min: number | null;
  @ApiProperty({ type: Number, nullable: true }) max: number | null;
  /** The reading farthest outside. */
  @ApiProperty({ type: TemperatureReadingDto, nullable: true }) worst: TemperatureReadingDto | null;
  /** Its holds that nobody has decided. */
  undecided: number;
}

export class PlacesDto {
  places: PlaceDto[];
  /** Those that go on or have holds to decide, the latest first, then the ten latest others. */
  excursions: ExcursionDto[];
  /** Every hold that waits for a decision. */
  holds: HoldDto[];
}

export class PlaceDetailDto extends PlaceDto {
  lying: LyingDto[];
  /** Those of the last 14 days, earliest first. */
  readings: TemperatureReadingDto[];
}

export class RecordedTemperaturesDto {
  taken: number;
  /** Excursions that they began. */
  excursions: string[];
  /** Containers that they put on hold. */
  held: number;
}

export class RowProblemDto {
  /** Such as 'row 12, temperature'. */
  at: string;
  message: string;
}

export class TemperatureImportDto extends RecordedTemperaturesDto {
  dryRun: boolean;
  /** Readings that can be taken. */
  rows: number;
  /** Readings that were known already. */
  repeated: number;
  /** How many lie outside the place's limits. */
  outside: number;
  @ApiProperty({ type: String, nullable: true }) from: string | null;
  @ApiProperty({ type: String, nullable: true }) until: string | null;
  /** Every row that cannot be taken, of which nothing was. */
  problems: RowProblemDto[];
}

export class WaterCheckDto {
  at: string;
  wet: boolean;
  /** First instant at which the next look is overdue. */
  due: string;
}

export class LeavingDto {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  @ApiProperty({ type: String, nullable: true }) place: string | null;
  reasons: UnusableReasonDto[];
  /** True for what may not even be set apart, since it can explode: it is discarded at once. */
  neverStored: boolean;
}

export class UndatedDto {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  usedAt: string;
}

export class LeavingListDto {
  at: string;
  /** What must leave the shelf. */
  leaving: LeavingDto[];
  /** What was used without anybody recording when it was opened. */
  undated: UndatedDto[];
}
