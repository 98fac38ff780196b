import { Body, Controller, Delete, Get, HttpCode, Param, Patch, Post, Query, StreamableFile } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { FindInListDto } from '../../contract/list.dto.js';
import {
  DeviceDto,
  DeviceWithTokenDto,
  NewDeviceDto,
  NewPersonDto,
  PersonChangeDto,
  PersonDto,
} from '../../contract/people.dto.js';
import { holdsText, personTexts } from '../../core/find/lists.js';
import { Acting, Allow, OnceKey } from '../http/access.js';
import { type Columns, CsvAnswer, listFile, pagesOf } from '../http/csv-file.js';
import { PeopleService } from './people.service.js';

const PERSON_COLUMNS: Columns<PersonDto> = {
  id: ({ id }) => id,
  name: ({ name }) => name,
  'sign-in name': ({ login }) => login,
  roles: ({ roles }) => roles.join('; '),
  disabled: ({ disabled }) => disabled,
  'locked until': ({ lockedUntil }) => lockedUntil,
  added: ({ createdAt }) => createdAt,
};

@ApiTags('people')
@Controller()
export class PeopleController {
  constructor(private readonly service: PeopleService) {}

  /** All accounts, those that may no longer be used included. */
  @Allow('administrator', 'director', 'manager', 'reviewer')
  @Get('people')
  people(@Acting() acting: Acting): Promise<PersonDto[]> {
    return this.service.people(acting);
  }

  /** The same accounts as CSV, those in whose name, sign-in name or roles a text stands. */
  @Allow('administrator', 'director', 'manager')
  @Get('people/list.csv')
  @CsvAnswer()
  csv(@Acting() acting: Acting, @Query() { find = '' }: FindInListDto): Promise<StreamableFile> {
    const pages = pagesOf(async () => {
      const people = await this.service.people(acting);
      return { items: people.filter((person) => holdsText(find, personTexts(person))), next: null };
    });
    return listFile('people', PERSON_COLUMNS, pages);
  }

  /** Adds an account. */
  @Allow('administrator')
  @Post('people')
  add(@Acting() acting: Acting, @Body() asked: NewPersonDto, @OnceKey() key: string | undefined): Promise<PersonDto> {
    return this.service.add(acting, asked, key);
  }

  /** Changes an account. */
  @Allow('administrator')
  @Patch('people/:id')
  change(@Acting() acting: Acting, @Param('id') id: string, @Body() asked: PersonChangeDto): Promise<PersonDto> {
    return this.service.change(acting, id, asked);
  }

  /** All devices, revoked ones included. */
  @Allow('administrator')
  @Get('devices')
  devices(@Acting() acting: Acting): Promise<DeviceDto[]> {
    return this.service.devices(acting);
  }

  /** Adds a device and shows its token, once. */
  @Allow('administrator')
  @Post('devices')
  addDevice(
    @Acting() acting: Acting,
    @Body() asked: NewDeviceDto,
    @OnceKey() key: string | undefined,
  ): Promise<DeviceWithTokenDto> {
    return this.service.addDevice(acting, asked, key);
  }

  /** Ends a device's token for good. */
  @Allow('administrator')
  @Delete('devices/:id')
  @HttpCode(204)
  revokeDevice(@Acting() acting: Acting, @Param('id') id: string): Promise<void> {
    return this.service.revokeDevice(acting, id);
  }
}
