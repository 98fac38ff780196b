import { counted } from '../core/counted.js';
import { IN_QUESTION } from '../core/webhook/topics.js';
import { queueMail } from '../store/acts/queue-mail.js';
import { gateWords } from '../store/questions/reagents.js';
import { type Answer, answersTo, type Unanswered, unansweredOf } from '../store/questions/second-looks.js';
import { ReleaseAnswerRow, SecondLookRow } from '../store/rows/second-looks.entity.js';
import type { Store } from '../store/store.js';
import type { Unit } from '../store/unit.js';
import type { Handler, HandlerContext } from './runner.js';

/** So many are answered in one act, so that what was answered shows and is never asked twice. */
const AT_ONCE = 50;

/**
 * Asks the gate again for each release of a second look and keeps what it says; where it worsened, tells those who must
 * know. What was answered before stays, whether by this job or by its double.
 */
export const secondLook: Handler = async (lookId, context) => {
  const { store, laboratoryId } = context;
  const look = await store.read(laboratoryId, (view) => view.need(SecondLookRow, { id: lookId }, `look ${lookId}`));
  const failed: unknown[] = [];
  let after = '';
  for (;;) {
    const questions = await store.read(laboratoryId, (view) => unansweredOf(view, lookId, AT_ONCE, after));
    if (questions.length === 0) break;
    after = questions.at(-1)?.id ?? after;
    const answers = await whatCanBe(store, look, questions, failed);
    if (answers.length > 0) await keep(context, look, answers);
  }
  if (failed.length > 0) throw failed[0];
};

/** Answers to questions; where one cannot be answered the others are all the same, and the job is tried again for it. */
async function whatCanBe(
  store: Store,
  look: SecondLookRow,
  questions: readonly Unanswered[],
  failed: unknown[],
): Promise<Answer[]> {
  try {
    return await store.read(look.laboratoryId, (view) => answersTo(view, look, questions));
  } catch (error) {
    if (questions.length === 1) {
      failed.push(error);
      return [];
    }
    const half = Math.ceil(questions.length / 2);
    return [
      ...(await whatCanBe(store, look, questions.slice(0, half), failed)),
      ...(await whatCanBe(store, look, questions.slice(half), failed)),
    ];
  }
}

async function keep({ store, mail }: HandlerContext, look: SecondLookRow, answers: readonly Answer[]): Promise<void> {
  const program = { laboratoryId: look.laboratoryId, personId: null, deviceId: null };
  await store.change(program, 'release.looked-again', async (unit) => {
    const kept: Answer[] = [];
    for (const answer of answers) {
      if (await unit.one(ReleaseAnswerRow, { questionId: answer.questionId })) continue;
      await insertAnswer(unit, look, answer);
      kept.push(answer);
    }
    if (kept.length === 0) return;
    const worsened = kept.filter(({ worse }) => worse.length > 0);
    const inWords = await gateWords(unit);
    for (const answer of worsened) await tell(unit, look, answer, inWords);
    if (mail !== null && worsened.length > 0) await queueMail(unit, mailOf(look, worsened, inWords));
    unit.about('second-look', look.id, { answered: kept.length, worsened: worsened.length });
  });
}

async function insertAnswer(unit: Unit, look: SecondLookRow, answer: Answer): Promise<void> {
  const { questionId, release, verdict, judgedTo, rules, worse, concerned } = answer;
  await unit.insert(ReleaseAnswerRow, {
    questionId,
    lookId: look.id,
    releaseId: release.id,
    at: unit.at,
    outcome: worse.length > 0 ? 'worsened' : 'holds as it did',
    verdict,
    judgedTo,
    rules,
    worse,
    told: worse.length > 0 ? [...concerned.values()].sort() : [],
  });
}

const PATH = '/release/second-looks';

async function tell(
  unit: Unit,
  look: SecondLookRow,
  { questionId, release, worse, concerned }: Answer,
  inWords: (text: string) => string,
): Promise<void> {
  const matter = `${IN_QUESTION}${questionId}`;
  const { kind, runId, signature } = release;
  const found = worse.map(({ what }) => inWords(what)).join(' ');
  const text = `A released result is in question (${kind}, signed by ${signature.name} at ${signature.at}): ${found} Looked at again because: ${look.reason}`;
  await unit.tell(matter, text, runId, { path: PATH });
  for (const personId of concerned.keys())
    await unit.tell(`${matter}:${personId}`, text, runId, { path: PATH, personId });
}

function mailOf(
  { reason }: SecondLookRow,
  worsened: readonly Answer[],
  inWords: (text: string) => string,
): { subject: string; text: string } {
  const count = counted(worsened.length, 'released result is', 'released results are');
  const lines = worsened.map(
    ({ release: { kind, signature }, worse }) =>
      `- ${kind}, signed by ${signature.name} at ${signature.at}: ${worse.map(({ what }) => inWords(what)).join(' ')}`,
  );
  return {
    subject: `Stainwright: ${count} in question`,
    text: `${count} in question since the gate was asked again: ${reason}\n\n${lines.join('\n')}\n\nEach is listed among the second looks until a releaser has signed what becomes of it.`,
  };
}
