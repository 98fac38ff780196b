import { Body, Controller, Delete, Get, HttpCode, Param, Patch, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  DeviceDto,
  DeviceWithTokenDto,
  NewDeviceDto,
  NewPersonDto,
  PersonChangeDto,
  PersonDto,
} from '../../contract/people.dto.js';
import { Acting, Allow, OnceKey } from '../http/access.js';
import { PeopleService } from './people.service.js';

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
