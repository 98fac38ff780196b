import { ApiProperty, OmitType } from '@nestjs/swagger';
import { IsInt, IsString, Length, Matches, Max, Min } from 'class-validator';
import { MOST_SHEETS } from '../core/run/paper-sheet.js';
import { ListDto } from './list.dto.js';
import { Amount, Finite, IsInstant, Many, MayBeAbsent, One, Text } from './shape.js';

const NUMBER = /^[1-9]\d{0,8}$/;
const NUMBER_RIGHT = { message: '$property must be the number of a sheet, like 12' };
const DAY_SEC = 86_400;
const DAY_BEHIND_SEC = -86_400;
const LONGEST_SEC = 90 * DAY_SEC;

export class PrintSheetsDto {
  @Text(64) revisionId: string;
  @IsInt() @Min(1) @Max(MOST_SHEETS) count: number;
}

/** Which part of the register is asked for. */
export class PaperSheetQueryDto extends OmitType(ListDto, ['after']) {
  /** The number before which it begins. */
  @MayBeAbsent() @Matches(NUMBER, NUMBER_RIGHT) after?: string;
}

export class VoidSheetDto {
  /** Why nothing will be entered from it. */
  @IsString()
  @Length(3, 500)
  @Matches(/\S/, { message: '$property must not be blank' })
  reason: string;
}

/** The sheet that a run is entered from. */
export class FromSheetDto {
  @Text(64) sheetId: string;
  /** When it began, as the sheet says. */
  @IsInstant() startedAt: string;
  /** A photograph of the sheet. */
  @MayBeAbsent() @Text(64) fileId?: string;
}

export class PaperClockDto {
  /** How far the clock that was read went ahead of the server's, in seconds; negative when it was behind. */
  @Finite() @Min(DAY_BEHIND_SEC) @Max(DAY_SEC) aheadSec: number;
  /** How far a written time may be off either way, in seconds. */
  @Amount() @Max(3600) uncertaintySec: number;
  /** How far a duration by stopwatch may be off either way, in seconds. */
  @Amount() @Max(60) stopwatchSec: number;
}

export class PaperTrayDto {
  @Text(64) reagent: string;
  @Text(64) container: string;
  @IsInstant() at: string;
}

/** A step as the sheet has it: with its end by the clock, or its duration by a stopwatch, or neither when it still runs. */
export class PaperStepDto {
  @Text(64) step: string;
  @IsInstant() startedAt: string;
  @MayBeAbsent() @IsInstant() endedAt?: string;
  @MayBeAbsent() @Amount() @Max(LONGEST_SEC) lastedSec?: number;
}

/** What stands on a sheet, entered at once. */
export class PaperEntryDto {
  @One(() => PaperClockDto) clock: PaperClockDto;
  @Many(() => PaperTrayDto, 200) tray: PaperTrayDto[];
  @Many(() => PaperStepDto, 200) steps: PaperStepDto[];
  /** Whose initials stand on it, and what else it says. */
  @MayBeAbsent() @Text(500) words?: string;
}

/** Which sheets are printed, by number. */
export class SheetsToPrintDto {
  /** Number of the first sheet. */
  @Matches(NUMBER, NUMBER_RIGHT) from: string;
  /** Number of the last sheet, with it. */
  @Matches(NUMBER, NUMBER_RIGHT) to: string;
}

export class PaperSheetDto {
  id: string;
  /** Counted from 1 within the laboratory; none is missing. */
  number: number;
  /** What its code says. */
  label: string;
  revisionId: string;
  title: string;
  revision: number;
  printedAt: string;
  printedBy: string;
  @ApiProperty({ enum: ['open', 'entered', 'void'] })
  state: 'open' | 'entered' | 'void';
  /** The run that was entered from it. */
  @ApiProperty({ type: String, nullable: true })
  runId: string | null;
  /** Why it is void. */
  @ApiProperty({ type: String, nullable: true })
  reason: string | null;
  /** A photograph of it. */
  @ApiProperty({ type: String, nullable: true })
  fileId: string | null;
  @ApiProperty({ type: String, nullable: true })
  endedAt: string | null;
  @ApiProperty({ type: String, nullable: true })
  endedBy: string | null;
}

export class PaperSheetListDto {
  /** The highest number first. */
  items: PaperSheetDto[];
  @ApiProperty({ type: String, nullable: true })
  next: string | null;
  /** How many are neither entered nor void. */
  open: number;
}
