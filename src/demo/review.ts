import type { Api } from '../client.js';
import type { PersonDto } from '../contract/people.dto.js';
import type { NewReviewGrantDto } from '../contract/review.dto.js';
import { plusDays } from '../core/time/days.js';
import type { Instant } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { LABORATORY, PEOPLE } from './laboratory.js';

/** So long before and after the day of the set-up the invented reviewer may look. */
const BEFORE_DAYS = 30;
const AFTER_DAYS = 365;

/** The administrator gives the invented reviewer access to the record. */
export async function grantReview(administrator: Api, now: Instant): Promise<void> {
  const people = await administrator.get<PersonDto[]>('/people');
  const today = localDay(now, LABORATORY.zone);
  await administrator.post('/review/grants', {
    personId: people.find(({ login }) => login === PEOPLE.reviewer.login)?.id ?? '',
    fromDay: plusDays(today, -BEFORE_DAYS),
    toDay: plusDays(today, AFTER_DAYS),
    validFrom: today,
    validTo: plusDays(today, AFTER_DAYS),
    reason: 'Invented: visit of the accreditation body of the islands.',
  } satisfies NewReviewGrantDto);
}
