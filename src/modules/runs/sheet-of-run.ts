import type { FromSheetDto } from '../../contract/paper-sheets.dto.js';
import { Refusal } from '../../core/refusal.js';
import { paperStamp } from '../../core/run/paper-sheet.js';
import { needPicture } from '../../store/acts/take-picture.js';
import { addRunEvent, type LoadedRun } from '../../store/questions/runs.js';
import { PaperSheetEndRow, PaperSheetRow } from '../../store/rows/paper-sheets.entity.js';
import type { Unit } from '../../store/unit.js';

/** Nobody compared the clock yet when the run is entered: its start is known to the hour. */
const START_CLOCK = { aheadSec: 0, uncertaintySec: 3600, stopwatchSec: 0 };

/** The sheet that a run is to be entered from; refuses one that was entered or is void, or is of another revision. */
export async function needOpenSheet(
  unit: Unit,
  { sheetId, startedAt }: FromSheetDto,
  revisionId: string,
): Promise<PaperSheetRow> {
  const sheet = await unit.need(PaperSheetRow, { id: sheetId }, `paper sheet ${sheetId}`);
  const ended = await unit.one(PaperSheetEndRow, { sheetId });
  if (ended) {
    const what = ended.runId === null ? 'was declared void' : `was entered already, as run ${ended.runId}`;
    throw new Refusal(
      'conflict',
      'sheet-ended',
      `Paper sheet ${sheet.number} ${what} at ${ended.at}; each is entered once.`,
    );
  }
  if (sheet.revisionId !== revisionId) {
    const message = `Paper sheet ${sheet.number} is of another revision; enter the run under the one that is printed on it.`;
    throw new Refusal('invalid', 'sheet-of-another', message, [{ at: 'revisionId', message }]);
  }
  if (startedAt > unit.at) {
    const message = `${startedAt} lies in the future; give the start that stands on the sheet.`;
    throw new Refusal('invalid', 'sheet-in-future', message, [{ at: 'fromSheet.startedAt', message }]);
  }
  return sheet;
}

/** Notes that a sheet is entered, in the register and in the run itself. */
export async function enterFromSheet(
  unit: Unit,
  loaded: LoadedRun,
  { id: sheetId, number, label }: PaperSheetRow,
  from: FromSheetDto | undefined,
): Promise<void> {
  if (from?.fileId !== undefined) await needPicture(unit, from.fileId, 'fromSheet.fileId');
  const { at, personId } = unit;
  await unit.insert(PaperSheetEndRow, {
    sheetId,
    runId: loaded.run.id,
    reason: null,
    fileId: from?.fileId ?? null,
    at,
    personId,
  });
  const text = `Done on paper and entered afterwards from sheet ${number} (${label}).`;
  const stamp = paperStamp(number, START_CLOCK, loaded.run.startedAt);
  await addRunEvent(unit, loaded, { kind: 'noted', data: { text }, stamp });
}

/** The sheet that a run was entered from. */
export async function needSheetOf(unit: Unit, runId: string): Promise<PaperSheetRow> {
  const ended = await unit.one(PaperSheetEndRow, { runId });
  if (!ended) {
    throw new Refusal(
      'conflict',
      'no-sheet',
      'This run was not entered from a paper sheet; correct single times at the bench instead.',
    );
  }
  return unit.need(PaperSheetRow, { id: ended.sheetId }, `paper sheet ${ended.sheetId}`);
}
