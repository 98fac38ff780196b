import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  Equals,
  IsArray,
  IsBoolean,
  IsIn,
  IsString,
  Length,
  Matches,
  Max,
  Min,
} from 'class-validator';
import { REAGENT_KINDS, SOURCE_KINDS } from '../core/protocol/catalogue.js';
import type { Catalogue, Source, SourceList } from '../core/protocol/catalogue.js';
import { FIGURE_STATUSES, SPECIAL_REAGENTS } from '../core/protocol/protocol.js';
import type { FigureStatus, Reagent, SpecialReagent } from '../core/protocol/protocol.js';
import { STORAGE_CLASSES, type StorageClass } from '../core/storage/classes.js';
import { CautionDto } from './protocol.dto.js';
import { Finite, Id, ID, Many, MayBeAbsent, Names, One, SOURCE_KEY, Text } from './shape.js';

/** Whole years, months, weeks, days, hours, minutes or seconds after opening, as ISO 8601 writes them. */
export const DURATION = /^P(?=\d|T\d)(\d+Y)?(\d+M)?(\d+W)?(\d+D)?(T(?=\d)(\d+H)?(\d+M)?(\d+S)?)?$/;

/** How a reagent is kept. */
export class StorageNeedDto implements NonNullable<Reagent['storage']> {
  /** Degrees Celsius. */
  @MayBeAbsent() @Finite() @Min(-200) @Max(100) min?: number;
  @MayBeAbsent() @Finite() @Min(-200) @Max(100) max?: number;
  @MayBeAbsent() @IsBoolean() dark?: boolean;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

export class ReagentDto implements Reagent {
  @Id() code: string;
  @Text(200) name: string;
  @IsIn(REAGENT_KINDS) kind: Reagent['kind'];
  @MayBeAbsent() @Names(ID, 'clearing-substitute') acceptedInstead?: string[];
  @MayBeAbsent() @Many(() => CautionDto, 20) cautions?: CautionDto[];
  @MayBeAbsent()
  @IsString()
  @Matches(DURATION, { message: '$property must be an ISO 8601 duration such as P30D' })
  openedLife?: string;
  @MayBeAbsent() @Text(30) unit?: string;
  @MayBeAbsent() @One(() => StorageNeedDto) storage?: StorageNeedDto;
  /** How it behaves beside others in storage; 'general' when left out. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(8)
  @ArrayUnique()
  @IsIn(STORAGE_CLASSES, { each: true })
  storageClasses?: StorageClass[];
  @MayBeAbsent() @IsIn(SPECIAL_REAGENTS) special?: SpecialReagent;
  /** ISO 8601 duration between looks at the water over picric acid. */
  @MayBeAbsent()
  @IsString()
  @Matches(DURATION, { message: '$property must be an ISO 8601 duration such as P6M' })
  waterCheckEvery?: string;
}

/** Somebody here added or revised an entry of the catalogue. */
export class ReagentRevisionDto {
  /** Code of the entry. */
  reagent: string;
  at: string;
  personId: string;
  name: string;
}

export class CatalogueDto implements Catalogue {
  @Equals('stainwright-catalogue/1') format: 'stainwright-catalogue/1';
  @Many(() => ReagentDto, 2000) @ArrayMinSize(1) reagents: ReagentDto[];
}

export class SourceDto implements Source {
  @IsString()
  @Length(1, 64)
  @Matches(SOURCE_KEY, { message: '$property must be lower-case letters, digits and underscores, such as karen2009' })
  key: string;
  @Text(1000) citation: string;
  @IsIn(SOURCE_KINDS) kind: Source['kind'];
  @Text(500) seen: string;
}

export class SourceListDto implements SourceList {
  @Equals('stainwright-sources/1') format: 'stainwright-sources/1';
  @Many(() => SourceDto, 2000) @ArrayMinSize(1) sources: SourceDto[];
}
