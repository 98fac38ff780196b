import { Injectable, type StreamableFile } from '@nestjs/common';
import type {
  AnswerDto,
  FindQueryDto,
  FoundDto,
  PeriodDto,
  QuestionDto,
  QuestionPageDto,
} from '../../contract/review.dto.js';
import { actWords } from '../../core/ask/act-words.js';
import { AREA_OF } from '../../core/ask/topics.js';
import { checkArea, checkPeriod, checkProtocol } from '../../core/people/review.js';
import { Refusal } from '../../core/refusal.js';
import { daysBetween } from '../../core/time/days.js';
import { endOfDay, instantOfLocal } from '../../core/time/zone.js';
import { type Answer, answerOf, linesAfter, nextOf, type Question } from '../../store/questions/ask/answer.js';
import type { Asking } from '../../store/questions/ask/topic.js';
import { TOPIC } from '../../store/questions/ask/topics.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { namesOf } from '../../store/questions/people.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import type { Acting } from '../http/access.js';
import { csvFile } from '../http/csv-file.js';
import { Reviewing } from '../http/reviewing.js';

const PAGE = 100;
const CSV_PAGE = 500;
/** Longer than any inspection asks about at once; a bound keeps the work of one question small. */
const LONGEST_DAYS = 3700;

const HEADING = ['record number', 'recorded at', 'happened at', 'late', 'what', 'who', 'about', 'id', 'label'];

/** Answers questions on the record, within what a reviewer was granted. */
@Injectable()
export class ReviewService {
  constructor(
    private readonly store: Store,
    private readonly reviewing: Reviewing,
  ) {}

  async find(acting: Acting, { topic, text, ...period }: FindQueryDto): Promise<FoundDto[]> {
    const asking = await this.asking(acting, period);
    checkArea(acting.review ?? null, AREA_OF[topic]);
    // What was typed stays out: it might name a patient.
    await this.reviewing.looked(acting, 'GET /api/review/find', {
      kind: 'question',
      about: topic,
      period: only(asking),
    });
    return this.store.read(acting.laboratoryId, (view) => TOPIC[topic].find(view, asking, text));
  }

  async answer(acting: Acting, asked: QuestionPageDto): Promise<AnswerDto> {
    const { after, take = PAGE } = asked;
    const question = await this.question(acting, asked, 'GET /api/review/answer');
    return this.store.read(acting.laboratoryId, async (view) => {
      const whole = after === undefined ? await answerOf(view, question, take) : null;
      const lines = whole?.lines ?? (await linesAfter(view, question, after ?? 0, take));
      const about = whole?.about ?? (await TOPIC[question.topic].need(view, question.id));
      const { from, to } = question.asking;
      return {
        about,
        from,
        to,
        acts: whole?.acts ?? null,
        counts: whole?.counts ?? [],
        ...(await parts(view, whole)),
        lines,
        next: nextOf(lines, take),
      };
    });
  }

  /** Every act of an answer as CSV, read page by page. */
  async csv(acting: Acting, asked: QuestionDto): Promise<StreamableFile> {
    const question = await this.question(acting, asked, 'GET /api/review/answer.csv');
    const read = (after: number) =>
      this.store.read(acting.laboratoryId, (view) => linesAfter(view, question, after, CSV_PAGE));
    async function* rows() {
      for (let after: number | null = 0; after !== null;) {
        const lines = await read(after);
        yield lines.map(({ seq, at, performedAt, late, what, who, about }) => [
          ...[seq, at, performedAt, late ? 'late' : '', what, who],
          ...[about.kind, about.id, about.label],
        ]);
        after = nextOf(lines, CSV_PAGE);
      }
    }
    return csvFile('answer', HEADING, rows());
  }

  /** The asked days as instants, within what was granted. */
  async asking({ laboratoryId, review }: Acting, { from, to }: PeriodDto): Promise<Asking> {
    const { zone } = await this.store.read(laboratoryId, needLaboratory);
    if (to < from) throw badPeriod('to', `${to} lies before ${from}; give that day or a later one`);
    if (daysBetween(from, to) > LONGEST_DAYS) throw badPeriod('to', `ask for at most ${LONGEST_DAYS} days at once`);
    const period = { from: instantOfLocal(`${from}T00:00`, zone), to: endOfDay(to, zone) };
    checkPeriod(review ?? null, period);
    return { ...period, protocols: review?.protocols ?? null };
  }

  private async question(acting: Acting, { topic, about, ...period }: QuestionDto, asked: string): Promise<Question> {
    const review = acting.review ?? null;
    const asking = await this.asking(acting, topic === 'day' ? { from: about, to: about } : period);
    checkArea(review, AREA_OF[topic]);
    if (topic === 'protocol') checkProtocol(review, about);
    const found = await this.store.read(acting.laboratoryId, (view) => TOPIC[topic].need(view, about));
    await this.reviewing.looked(acting, asked, { kind: topic, about: found.id, period: only(asking) });
    return { topic, id: about, asking };
  }
}

function only({ from, to }: Asking): { from: string; to: string } {
  return { from, to };
}

function badPeriod(at: string, message: string): Refusal {
  return new Refusal('invalid', 'bad-period', 'This period cannot be asked about.', [{ at, message }]);
}

/** What an answer shows beside its acts, with names in place of ids. */
async function parts(
  view: View,
  answer: Answer | null,
): Promise<Pick<AnswerDto, 'late' | 'releases' | 'controls' | 'competence'>> {
  if (!answer) return { late: [], releases: [], controls: [], competence: [] };
  const { late, releases, controls, competence } = answer;
  const names = await namesOf(
    view,
    [...late, ...controls].map(({ personId }) => personId),
  );
  return {
    late: late.map(({ runId, title, kind, data, performedAt, recordedAt, personId }) => ({
      runId,
      title,
      what: actWords(`run.${kind}`, data),
      performedAt,
      recordedAt,
      who: names[personId] ?? personId,
    })),
    releases: releases.map(({ exception, ...release }) => ({
      ...release,
      exception: exception && { reason: exception.reason, second: exception.second },
    })),
    controls: controls.map(({ personId, ...control }) => ({
      ...control,
      who: personId === null ? null : (names[personId] ?? personId),
    })),
    competence,
  };
}
