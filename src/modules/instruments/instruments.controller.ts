import { Body, Controller, Get, Param, Post, StreamableFile } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { InstrumentDto, NewInstrumentActDto, NewInstrumentDto } from '../../contract/instruments.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { type Columns, CsvAnswer, listFile, wholeOf } from '../http/csv-file.js';
import { InstrumentsService } from './instruments.service.js';

const INSTRUMENT_COLUMNS: Columns<InstrumentDto> = {
  id: ({ id }) => id,
  code: ({ code }) => code,
  name: ({ name }) => name,
  kind: ({ kind }) => kind,
  serial: ({ serial }) => serial,
  station: ({ station }) => station,
  'calibration due': ({ calibrationDue }) => calibrationDue,
  'service due': ({ serviceDue }) => serviceDue,
  faults: ({ faults }) => faults.length,
};

@ApiTags('instruments')
@Controller('instruments')
export class InstrumentsController {
  constructor(private readonly service: InstrumentsService) {}

  /** Every instrument with what was done to it and what speaks against its use now. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting): Promise<InstrumentDto[]> {
    return this.service.list(acting);
  }

  /** The same instruments as CSV. */
  @Get('list.csv')
  @SignedIn()
  @CsvAnswer()
  csv(@Acting() acting: Acting): Promise<StreamableFile> {
    return listFile(
      'instruments',
      INSTRUMENT_COLUMNS,
      wholeOf(() => this.service.list(acting)),
    );
  }

  @Post()
  @Allow('manager', 'director')
  add(
    @Acting() acting: Acting,
    @Body() asked: NewInstrumentDto,
    @OnceKey() key: string | undefined,
  ): Promise<InstrumentDto> {
    return this.service.add(acting, asked, key);
  }

  /** Enters a calibration, a service, a move, or that it may not or may again be used. */
  @Post(':id/acts')
  @Allow('technician', 'manager', 'director')
  act(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Body() asked: NewInstrumentActDto,
    @OnceKey() key: string | undefined,
  ): Promise<InstrumentDto> {
    return this.service.act(acting, id, asked, key);
  }
}
