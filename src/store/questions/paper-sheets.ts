import { Between, In, LessThan } from 'typeorm';
import type { PaperSheetDto } from '../../contract/paper-sheets.dto.js';
import type { PrintedSheet } from '../../core/report/printed-sheet.js';
import { PaperSheetEndRow, PaperSheetRow } from '../rows/paper-sheets.entity.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';
import { catalogue } from './reagents.js';

/** Sheets with what became of them, the highest number first; those below `before`. */
export async function paperSheets(
  view: View,
  { take, before }: { take: number; before?: number },
): Promise<PaperSheetDto[]> {
  const where = before === undefined ? {} : { number: LessThan(before) };
  const sheets = await view.all(PaperSheetRow, where, { order: { number: 'DESC' }, take });
  const ends = await view.all(PaperSheetEndRow, { sheetId: In(sheets.map(({ id }) => id)) });
  const revisions = await view.all(RevisionRow, { id: In(sheets.map(({ revisionId }) => revisionId)) });
  const names = await namesOf(
    view,
    [...sheets, ...ends].map(({ personId }) => personId),
  );
  return sheets.map(({ id, number, label, revisionId, at, personId }) => {
    const end = ends.find(({ sheetId }) => sheetId === id);
    const revision = revisions.find((each) => each.id === revisionId);
    return {
      id,
      number,
      label,
      revisionId,
      title: revision?.title ?? '',
      revision: revision?.number ?? 0,
      printedAt: at,
      printedBy: names[personId] ?? '',
      state: end ? (end.runId === null ? ('void' as const) : ('entered' as const)) : ('open' as const),
      runId: end?.runId ?? null,
      reason: end?.reason ?? null,
      fileId: end?.fileId ?? null,
      endedAt: end?.at ?? null,
      endedBy: end ? (names[end.personId] ?? '') : null,
    };
  });
}

/** How many sheets are neither entered nor void. */
export async function openSheets(view: View): Promise<number> {
  return (await view.count(PaperSheetRow)) - (await view.count(PaperSheetEndRow));
}

/** The highest number of a sheet so far; 0 before the first. */
export async function lastSheetNumber(view: View): Promise<number> {
  const [last] = await view.all(PaperSheetRow, {}, { order: { number: 'DESC' }, take: 1 });
  return last?.number ?? 0;
}

/** Sheets with all that is printed on them, by number. */
export async function sheetsToPrint(view: View, from: number, to: number): Promise<PrintedSheet[]> {
  const sheets = await view.all(PaperSheetRow, { number: Between(from, to) }, { order: { number: 'ASC' } });
  const revisions = await view.all(RevisionRow, { id: In(sheets.map(({ revisionId }) => revisionId)) });
  const reagents = new Map((await catalogue(view)).map(({ code, name }) => [code, name]));
  return sheets.flatMap(({ number, label, revisionId }) => {
    const revision = revisions.find(({ id }) => id === revisionId);
    if (!revision) return [];
    const { content: protocol, number: of, contentHash } = revision;
    return [{ number, label, protocol, revision: of, contentHash, reagents }];
  });
}
