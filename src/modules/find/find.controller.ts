import { Body, Controller, HttpCode, Post } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { FindDto, FoundThingsDto } from '../../contract/find.dto.js';
import { KNOW_THE_PATIENT } from '../../core/people/roles.js';
import { localDay } from '../../core/time/zone.js';
import { found } from '../../store/questions/find.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { Store } from '../../store/store.js';
import { Acting, SignedIn } from '../http/access.js';

@Controller('find')
export class FindController {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /** Finds things by part of their names. It changes nothing; the text is no part of the address, since it may be a patient's number. */
  @Post()
  @SignedIn()
  @HttpCode(200)
  async find(@Acting() acting: Acting, @Body() { text }: FindDto): Promise<FoundThingsDto> {
    const mayKnowPatients = acting.roles.some((role) => KNOW_THE_PATIENT.includes(role));
    const items = await this.store.read(acting.laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      return found(view, text, { today: localDay(this.clock.now(), zone), mayKnowPatients });
    });
    return { items };
  }
}
