import { Controller, Get } from '@nestjs/common';
import { GuideDto } from '../../contract/guide.dto.js';
import { doneOf, guideFor } from '../../core/guide/tasks.js';
import { readiness, seenSinceFurnished } from '../../store/questions/guide.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { Store } from '../../store/store.js';
import { type Acting as ActingPerson, Acting, SignedIn } from '../http/access.js';

/** What somebody new is led through. */
@Controller('guide')
export class GuideController {
  constructor(private readonly store: Store) {}

  /** What is done of what the person is led through. */
  @Get()
  @SignedIn()
  guide(@Acting() { laboratoryId, personId, roles }: ActingPerson): Promise<GuideDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { demo } = await needLaboratory(view);
      const guide = personId === null ? null : guideFor(roles, demo);
      if (guide === null || personId === null) return { done: [] };
      const seen = demo ? await seenSinceFurnished(view, personId) : await readiness(view);
      return { done: doneOf(guide, seen) };
    });
  }
}
