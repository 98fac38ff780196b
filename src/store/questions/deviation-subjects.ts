import type { DeviationSubject } from '../../core/deviations/deviation.js';
import { judge } from '../../core/gate/judge.js';
import type { Finding } from '../../core/gate/finding.js';
import { ruleOf } from '../../core/gate/rules.js';
import { Refusal } from '../../core/refusal.js';
import { ControlResultRow } from '../rows/control-results.entity.js';
import type { DeviationRow } from '../rows/deviations.entity.js';
import { InstrumentRow } from '../rows/instruments.entity.js';
import { LookbackRow } from '../rows/lookback.entity.js';
import { OrderRow } from '../rows/orders.entity.js';
import { ExcursionRow } from '../rows/places.entity.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import { RunRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { controlResult } from './control-results.js';
import { lastSeq } from './entries.js';
import { placesOf } from './places.js';
import { gateWords } from './reagents.js';
import { loadRun, runFacts } from './runs.js';

/** What a deviation is about: in words, where it stands, and the work that it belongs to. */
export interface DeviationMatter {
  about: string;
  path: string;
  /** What a person may call it. */
  title: string;
  finding: Finding | null;
  runId: string | null;
  protocolId: string | null;
  step: string | null;
}

type Told = Pick<DeviationMatter, 'about' | 'path' | 'title'> & Partial<DeviationMatter>;

const ALONE = { finding: null, runId: null, protocolId: null, step: null };

const LOOK: Record<Exclude<DeviationSubject, 'finding' | 'described'>, (view: View, id: string) => Promise<Told>> = {
  'control failure': async (view, id) => {
    await view.need(ControlResultRow, { id }, `result ${id}`);
    const result = await controlResult(view, id);
    if (!result || result.passed) {
      throw new Refusal('conflict', 'no-failure', 'This result does not stand as failed: it was withdrawn or settled.');
    }
    const { requirement, protocolId, runId, observed } = result;
    return {
      about: `The control ${requirement} of ${protocolId} did not pass: ${observed}.`,
      path: `/controls/failures/${result.id}`,
      title: `Control ${requirement} failed`,
      runId,
      protocolId,
    };
  },
  lookback: async (view, id) => {
    const { cause, reason } = await view.need(LookbackRow, { id }, `lookback ${id}`);
    return { about: `Lookback, ${cause}: ${reason}`, path: `/lookbacks/${id}`, title: `Lookback: ${cause}` };
  },
  excursion: async (view, id) => {
    const { place, since } = await view.need(ExcursionRow, { id }, `excursion ${id}`);
    const name = (await placesOf(view)).find(({ code }) => code === place)?.name ?? place;
    return {
      about: `${name} was outside its limits from ${since} on.`,
      path: `/stock/places/${encodeURIComponent(place)}`,
      title: `${name} outside its limits`,
    };
  },
  order: async (view, id) => {
    const { number, supplierCode } = await view.need(OrderRow, { id }, `order ${id}`);
    return {
      about: `Order ${number} to ${supplierCode}.`,
      path: `/stock/orders/${id}`,
      title: `Order ${number}`,
    };
  },
  instrument: async (view, id) => {
    const { code, name } = await view.need(InstrumentRow, { id }, `instrument ${id}`);
    return { about: `${name} (${code}).`, path: '/controls/instruments', title: `${name} (${code})` };
  },
};

/** What a deviation is to be opened from; refuses what is not there, and a finding that the gate does not make now. */
export async function deviationSubject(
  view: View,
  { subject, subjectId, findingId }: { subject: DeviationSubject; subjectId?: string; findingId?: string },
): Promise<DeviationMatter | null> {
  if ((subject === 'described') !== (subjectId === undefined)) {
    throw wrong(
      'subjectId',
      subject === 'described' ? 'leave it out of a described one' : `give the id of the ${subject}`,
    );
  }
  if ((subject === 'finding') !== (findingId !== undefined)) {
    throw wrong('findingId', subject === 'finding' ? 'give the id of the finding' : 'only a finding has one');
  }
  if (subject === 'described' || subjectId === undefined) return null;
  if (subject === 'finding') return foundNow(view, subjectId, findingId ?? '');
  return { ...ALONE, ...(await LOOK[subject](view, subjectId)) };
}

/** What an opened one is about, as it was told then or as it stands now; null of a described one. */
export async function subjectWords(
  view: View,
  { subject, subjectId, finding }: DeviationRow,
): Promise<{ about: string; path: string } | null> {
  if (subject === 'described' || subjectId === null) return null;
  if (subject === 'finding') {
    return { about: (await gateWords(view))(finding?.what ?? ''), path: `/release/${subjectId}` };
  }
  try {
    return await LOOK[subject](view, subjectId);
  } catch (error) {
    // A control's reading may have been withdrawn since.
    if (error instanceof Refusal && error.code === 'no-failure') {
      return { about: error.message, path: `/controls/failures/${subjectId}` };
    }
    throw error;
  }
}

/** The protocol of a run that a described deviation names. */
export async function runOf(view: View, runId: string): Promise<{ runId: string; protocolId: string }> {
  const { revisionId } = await view.need(RunRow, { id: runId }, `run ${runId}`);
  const { protocolId } = await view.need(RevisionRow, { id: revisionId }, `revision ${revisionId}`);
  return { runId, protocolId };
}

async function foundNow(view: View, runId: string, findingId: string): Promise<DeviationMatter> {
  const loaded = await loadRun(view, runId);
  const { subjects } = judge(await runFacts(view, loaded, await lastSeq(view)));
  const finding = subjects
    .flatMap(({ points }) => points.flatMap(({ findings }) => findings))
    .find(({ id }) => id === findingId);
  if (!finding) {
    throw new Refusal('not-found', 'no-finding', `The gate makes no finding "${findingId}" on this run now.`);
  }
  const { content, protocolId } = loaded.revision;
  const step = content.steps.find(({ id }) => findingId === `${finding.rule}:${id}`);
  return {
    about: (await gateWords(view))(finding.what),
    path: `/release/${runId}`,
    title: ruleOf(finding.rule)?.title ?? finding.rule,
    finding,
    runId,
    protocolId,
    step: step?.id ?? null,
  };
}

function wrong(at: string, message: string): Refusal {
  return new Refusal('invalid', 'bad-subject', `${at}: ${message}.`, [{ at, message }]);
}
