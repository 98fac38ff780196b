import { Body, Controller, Get, HttpCode, Param, Post } from '@nestjs/common';
import { HandOverNoteDto, HandOverNotesDto, NewHandOverNoteDto } from '../../contract/hand-over.dto.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { HandOverService } from './hand-over.service.js';

@Controller('hand-over')
export class HandOverController {
  constructor(private readonly service: HandOverService) {}

  /** What was left in writing for whoever takes a bench over. */
  @SignedIn()
  @Get('notes')
  notes(@Acting() acting: Acting): Promise<HandOverNotesDto> {
    return this.service.notes(acting);
  }

  /** Leaves a note for whoever takes over. */
  @Allow('technician', 'releaser', 'manager', 'director')
  @Post('notes')
  leave(
    @Acting() acting: Acting,
    @Body() asked: NewHandOverNoteDto,
    @OnceKey() key?: string,
  ): Promise<HandOverNoteDto> {
    return this.service.leave(acting, asked, key);
  }

  /** Says that a note is seen to. */
  @Allow('technician', 'releaser', 'manager', 'director')
  @Post('notes/:id/done')
  @HttpCode(200)
  see(@Acting() acting: Acting, @Param('id') id: string, @OnceKey() key?: string): Promise<HandOverNoteDto> {
    return this.service.see(acting, id, key);
  }
}
