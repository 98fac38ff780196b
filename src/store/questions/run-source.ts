import { In } from 'typeorm';
import type { RunSource, SubjectFacts } from '../../core/fhir/facts.js';
import { eventsOf } from '../../core/run/state.js';
import { type IdentifierKind, IDENTIFIER_KINDS } from '../../core/specimen/subject.js';
import { DeviceRow } from '../rows/people.entity.js';
import { RecordRow, SealedRow } from '../rows/record.entity.js';
import { LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { knownInstruments } from './instruments.js';
import { needLaboratory } from './laboratories.js';
import { namesOf } from './people.js';
import { reagentsOf } from './reagents.js';
import { releasesOf } from './releases.js';
import { loadRun, runView } from './runs.js';
import { subjectsOf } from './subjects.js';
import { stationAt } from '../../core/instruments/instrument.js';

/** Everything that a copy of a run for other programs is made of; patients' identifiers included, for the copy to mask. */
export async function runSource(view: View, runId: string): Promise<RunSource> {
  const { id, name } = await needLaboratory(view);
  const run = await runView(view, await loadRun(view, runId));
  const subjects = await withParents(
    view,
    run.subjects.map(({ subjectId }) => subjectId),
  );
  const owners = subjects.map((subject) => subject.id);
  const sealed = await view.all(SealedRow, { ownerId: In(owners), kind: In([...IDENTIFIER_KINDS]) });
  const lots = await view.all(LotRow, { id: In([...new Set(run.containers.map(({ lot }) => lot.id))]) });
  const reagents = await reagentsOf(view, [...new Set(run.containers.map(({ reagent }) => reagent))]);
  const instruments = await knownInstruments(view);
  const releases = await releasesOf(view, runId);
  const entries = await view.all(RecordRow, { subjectKind: 'run', subjectId: runId }, { order: { seq: 'ASC' } });
  const acts = entries.map(({ seq, at, act, personId, body, hash }) => ({
    ...{ seq, at, act, personId, hash },
    deviceId: (JSON.parse(body) as { actor: { device: string | null } }).actor.device,
  }));
  const signers = releases.flatMap(({ signature, exception, withdrawal }) => [
    signature.personId,
    exception?.second.personId ?? null,
    withdrawal?.signature.personId ?? null,
  ]);
  const attesting = eventsOf(run.events, 'attested').map(({ data }) => data.signature.personId);
  const acting = acts.map(({ personId }) => personId);
  const devices = await view.all(DeviceRow, { id: In([...new Set(acts.flatMap(({ deviceId }) => deviceId ?? []))]) });
  return {
    laboratory: { id, name },
    run,
    subjects,
    identifiers: sealed.map(({ ownerId, kind, value }) => ({ ownerId, kind: kind as IdentifierKind, value })),
    lots: lots.map((lot) => ({ id: lot.id, source: lot.source, expiry: lot.expiry })),
    reagents: Object.fromEntries(reagents.map((each) => [each.code, each.name])),
    instruments: instruments
      .filter((each) => stationAt(each, run.startedAt) === run.station)
      .map(({ row }) => ({ id: row.id, code: row.code, name: row.name, kind: row.kind, serial: row.serial })),
    releases,
    entries: acts,
    people: { ...run.people, ...(await namesOf(view, [...signers, ...attesting, ...acting])) },
    devices: Object.fromEntries(devices.map((device) => [device.id, device.name])),
  };
}

/** Specimens, slides and controls with what they were cut from; nothing is cut from a slide, so two looks find all. */
async function withParents(view: View, ids: readonly string[]): Promise<SubjectFacts[]> {
  const own = await subjectsOf(view, ids);
  const parents = own.flatMap(({ parentId }) => (parentId === null || ids.includes(parentId) ? [] : [parentId]));
  return [...own, ...(await subjectsOf(view, [...new Set(parents)]))];
}
