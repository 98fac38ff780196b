import { Controller, Delete, Get, Header, HttpCode, Param, Post } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import { CalendarLinkDto, NewCalendarLinkDto } from '../../contract/notices.dto.js';
import { Acting, Public, SignedIn } from '../http/access.js';
import { CalendarService } from './calendar.service.js';

@Controller()
export class CalendarController {
  constructor(private readonly calendar: CalendarService) {}

  /** The feed for a calendar program, which cannot sign in: whoever knows the address reads it. No patient is named in it. */
  @Get('calendar/:file')
  @Public()
  @Header('content-type', 'text/calendar; charset=utf-8')
  @Header('content-disposition', 'inline; filename="stainwright.ics"')
  @ApiProduces('text/calendar')
  @ApiOkResponse({ schema: { type: 'string' } })
  feed(@Param('file') file: string): Promise<string> {
    return this.calendar.feed(file.replace(/\.ics$/, ''));
  }

  /** The own address of the calendar that works now, if there is one; the address itself is told once, when it is made. */
  @Get('session/calendar')
  @SignedIn()
  own(@Acting() acting: Acting): Promise<CalendarLinkDto[]> {
    return this.calendar.own(acting);
  }

  /** Makes an address of one's own; the one before stops working. Its answer is kept nowhere, so a repeat makes another. */
  @Post('session/calendar')
  @SignedIn()
  make(@Acting() acting: Acting): Promise<NewCalendarLinkDto> {
    return this.calendar.make(acting);
  }

  /** Ends the own address. */
  @Delete('session/calendar')
  @HttpCode(204)
  @SignedIn()
  revoke(@Acting() acting: Acting): Promise<void> {
    return this.calendar.revoke(acting);
  }
}
