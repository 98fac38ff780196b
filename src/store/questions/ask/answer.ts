import { type Counted, countedOf, type TopicName } from '../../../core/ask/topics.js';
import type { View } from '../../view.js';
import { type AskedCompetence, askedCompetence } from './competence.js';
import { countsOf } from './counts.js';
import { type Line, lineCount, linesOf } from './lines.js';
import {
  type AskedControl,
  askedControls,
  type AskedRelease,
  askedReleases,
  lateEntries,
  type LateEntry,
} from './parts.js';
import { ALL, type Asking, type Found } from './topic.js';
import { TOPIC } from './topics.js';

/** What the record says about one thing in a period. */
export interface Answer {
  about: Found;
  counts: Counted[];
  late: LateEntry[];
  releases: AskedRelease[];
  controls: AskedControl[];
  /** Only of a person. */
  competence: AskedCompetence[];
  /** How many acts there are in all. */
  acts: number;
  lines: Line[];
  /** Record number after which the next page begins; null on the last. */
  next: number | null;
}

export interface Question {
  topic: TopicName;
  id: string;
  asking: Asking;
}

/** The whole answer with the first page of acts. */
export async function answerOf(view: View, question: Question, take: number): Promise<Answer> {
  const { topic, id, asking } = question;
  const about = await TOPIC[topic].need(view, id);
  const which = await whichOf(view, question);
  const lines = await linesOf(view, asking, which, { after: 0, take });
  return {
    about,
    counts: countedOf(await countsOf(view, asking, which.runs)),
    late: await lateEntries(view, asking, which.runs),
    releases: await askedReleases(view, asking, which.runs),
    controls: await askedControls(view, asking, which.runs),
    competence: topic === 'person' ? await askedCompetence(view, asking, id) : [],
    acts: await lineCount(view, asking, which),
    lines,
    next: nextOf(lines, take),
  };
}

/** A further page of an answer's acts. */
export async function linesAfter(view: View, question: Question, after: number, take: number): Promise<Line[]> {
  return linesOf(view, question.asking, await whichOf(view, question), { after, take });
}

/** After which record number the page after this one begins; null when this was the last. */
export function nextOf(lines: readonly Line[], take: number): number | null {
  return lines.length < take ? null : (lines.at(-1)?.seq ?? null);
}

async function whichOf(view: View, { topic, id }: Question) {
  const { runs, acts, ofRuns } = TOPIC[topic];
  return { runs: await runs(view, id), acts: await acts(view, id), ofRuns: ofRuns?.(id) ?? ALL };
}
