import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsISO8601, Length, Matches } from 'class-validator';
import {
  INSTRUMENT_ACTS,
  INSTRUMENT_KINDS,
  type InstrumentActKind,
  type InstrumentFault,
  type InstrumentKind,
} from '../core/instruments/instrument.js';
import { MayBeAbsent, Text } from './shape.js';

const FAULTS = [
  'uncalibrated',
  'calibration-failed',
  'calibration-over',
  'service-over',
  'out-of-use',
] as const satisfies InstrumentFault[];

export class NewInstrumentDto {
  /** What stands on it. */
  @Matches(/^\S(.{0,38}\S)?$/, { message: '$property must be 1 to 40 characters without spaces at its ends' })
  code: string;
  @Text(100) name: string;
  @IsIn(INSTRUMENT_KINDS) kind: InstrumentKind;
  @MayBeAbsent() @Text(60) serial?: string;
  /** Whether its readings count only within a calibration. */
  @IsBoolean() calibrated: boolean;
  /** The bench place where it stands; absent where it belongs to none. */
  @MayBeAbsent() @Text(60) station?: string;
}

export class NewInstrumentActDto {
  @IsIn(INSTRUMENT_ACTS) kind: InstrumentActKind;
  /** When it happened; now when left out. */
  @MayBeAbsent() @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) at?: string;
  /** What a calibration or a service found. */
  @MayBeAbsent() @IsBoolean() passed?: boolean;
  /** Last local day on which a calibration or a service counts. */
  @MayBeAbsent()
  @Matches(/^\d{4}-\d\d-\d\d$/, { message: '$property must be a day such as 2027-03-31' })
  lastDay?: string;
  /** Where it stands from then on. */
  @MayBeAbsent() @Text(60) station?: string;
  /** The certificate, kept as a file. */
  @MayBeAbsent() @Text(64) fileId?: string;
  @Text(500) note: string;
}

export class InstrumentActDto {
  id: string;
  @ApiProperty({ enum: INSTRUMENT_ACTS }) kind: InstrumentActKind;
  at: string;
  personId: string | null;
  passed: boolean | null;
  until: string | null;
  station: string | null;
  fileId: string | null;
  note: string;
}

export class InstrumentFaultDto {
  @ApiProperty({ enum: FAULTS }) fault: InstrumentFault;
  since: string | null;
}

export class InstrumentDto {
  id: string;
  code: string;
  name: string;
  @ApiProperty({ enum: INSTRUMENT_KINDS }) kind: InstrumentKind;
  serial: string | null;
  calibrated: boolean;
  /** Where it stands now. */
  station: string | null;
  calibrationDue: string | null;
  serviceDue: string | null;
  /** What speaks against its use now. */
  faults: InstrumentFaultDto[];
  /** Newest first. */
  acts: InstrumentActDto[];
}
