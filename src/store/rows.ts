import { FileRow } from './rows/files.entity.js';
import { JobRow, NoticeRow } from './rows/jobs.entity.js';
import { LaboratoryRow } from './rows/laboratory.entity.js';
import { MovementRow } from './rows/ledger.entity.js';
import { LookbackAnswerRow, LookbackCloseRow, LookbackRow } from './rows/lookback.entity.js';
import { DeviceRow, PersonRow, SessionRow, SetupLinkRow } from './rows/people.entity.js';
import { RevisionActRow, RevisionRow } from './rows/protocols.entity.js';
import { AnsweredRequestRow, CheckpointRow, HeadRow, RecordRow, SealedRow } from './rows/record.entity.js';
import { BenchRunRow, ReleaseRow, RunEventRow, RunRow, RunSubjectRow } from './rows/runs.entity.js';
import { SubjectRow } from './rows/specimens.entity.js';
import {
  ComponentRow,
  ContainerActRow,
  ContainerRow,
  HoldEndRow,
  HoldRow,
  LotActRow,
  LotRow,
  ReagentRow,
} from './rows/stock.entity.js';

/** Every table; one that others refer to stands before them. */
export const ROWS = [
  LaboratoryRow,
  RecordRow,
  HeadRow,
  AnsweredRequestRow,
  SealedRow,
  CheckpointRow,
  PersonRow,
  SessionRow,
  DeviceRow,
  SetupLinkRow,
  RevisionRow,
  RevisionActRow,
  ReagentRow,
  LotRow,
  LotActRow,
  ContainerRow,
  ContainerActRow,
  ComponentRow,
  HoldRow,
  HoldEndRow,
  MovementRow,
  FileRow,
  SubjectRow,
  RunRow,
  RunSubjectRow,
  RunEventRow,
  BenchRunRow,
  ReleaseRow,
  LookbackRow,
  LookbackAnswerRow,
  LookbackCloseRow,
  JobRow,
  NoticeRow,
];
