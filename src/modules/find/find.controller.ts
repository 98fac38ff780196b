import { Body, Controller, HttpCode, Post } from '@nestjs/common';
import { FindDto, FoundThingsDto } from '../../contract/find.dto.js';
import { KNOW_THE_PATIENT } from '../../core/people/roles.js';
import { found } from '../../store/questions/find.js';
import { Store } from '../../store/store.js';
import { Acting, SignedIn } from '../http/access.js';

@Controller('find')
export class FindController {
  constructor(private readonly store: Store) {}

  /** Finds things by part of their names. It changes nothing; the text is no part of the address, since it may be a patient's number. */
  @Post()
  @SignedIn()
  @HttpCode(200)
  async find(@Acting() acting: Acting, @Body() { text }: FindDto): Promise<FoundThingsDto> {
    const mayKnow = acting.roles.some((role) => KNOW_THE_PATIENT.includes(role));
    return { items: await this.store.read(acting.laboratoryId, (view) => found(view, text, mayKnow)) };
  }
}
