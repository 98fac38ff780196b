import { CompetenceRow } from './rows/competence.entity.js';
import {
  ControlResultChangeRow,
  ControlResultRow,
  ControlValueRow,
  FailureActRow,
  LimitsRow,
  SeriesMarkRow,
  SeriesRow,
  SeriesRulesRow,
} from './rows/control-results.entity.js';
import { AlertRow, CalendarLinkRow, MailRow } from './rows/alerts.entity.js';
import { CalendarRow, ControlPlanActRow, ControlPlanRow, ControlTaskRow } from './rows/control-plans.entity.js';
import { DeviationActRow, DeviationRow } from './rows/deviations.entity.js';
import { FileRow } from './rows/files.entity.js';
import { InstrumentActRow, InstrumentRow } from './rows/instruments.entity.js';
import { JobRow, NoticeRow } from './rows/jobs.entity.js';
import { LaboratoryRow } from './rows/laboratory.entity.js';
import { BalanceRow, CountRow, MovementRow } from './rows/ledger.entity.js';
import {
  LookbackAnswerRow,
  LookbackCloseRow,
  LookbackRow,
  RecallLotRow,
  RecallRow,
  RecallToldRow,
  TrayUseRow,
} from './rows/lookback.entity.js';
import {
  BuyingRow,
  OrderActRow,
  OrderReceiptRow,
  OrderRow,
  ProductRow,
  StockPolicyRow,
  SupplierRow,
} from './rows/orders.entity.js';
import { PackActRow, PackProgressRow, PackRow } from './rows/packs.entity.js';
import { BadgeRow } from './rows/badges.entity.js';
import { DayPassRow } from './rows/day-passes.entity.js';
import { HandOverNoteEndRow, HandOverNoteRow } from './rows/hand-over.entity.js';
import { BenchPlanRow } from './rows/plans.entity.js';
import { GatePolicyRow } from './rows/policies.entity.js';
import { DeviceRow, PersonRow, SessionRow, SetupLinkRow } from './rows/people.entity.js';
import { ExcursionEndRow, ExcursionRow, PlaceRow, TemperatureRow, WaterCheckRow } from './rows/places.entity.js';
import { RevisionActRow, RevisionRow } from './rows/protocols.entity.js';
import {
  BathActRow,
  BathRow,
  BathUseRow,
  PreparationReadingRow,
  PreparationRow,
  RecipeRow,
} from './rows/preparations.entity.js';
import { AnsweredRequestRow, CheckpointRow, HeadRow, RecordRow, SealedRow } from './rows/record.entity.js';
import { LookRow, ReviewGrantEndRow, ReviewGrantRow } from './rows/review.entity.js';
import { ReleaseHoldRow, ReleaseWithdrawalRow } from './rows/releases.entity.js';
import { RoundActRow, RoundRow } from './rows/rounds.entity.js';
import { ReleaseAnswerRow, ReleaseQuestionRow, ReleaseUpheldRow, SecondLookRow } from './rows/second-looks.entity.js';
import { BenchRunRow, ReleaseRow, RunEventRow, RunRow, RunSubjectRow } from './rows/runs.entity.js';
import { MeasurementRow, PictureProgressRow, PictureRow } from './rows/pictures.entity.js';
import { PaperSheetEndRow, PaperSheetRow } from './rows/paper-sheets.entity.js';
import { PictureOutlineRow, RunPictureBackRow, RunPictureRow } from './rows/run-pictures.entity.js';
import { KeepingTermRow, LegalHoldEndRow, LegalHoldRow } from './rows/keeping.entity.js';
import { WebhookDeliveryRow, WebhookRow, WebhookSecretRow } from './rows/webhooks.entity.js';
import { StudyDecisionRow, StudyExclusionRow, StudyPairRow, StudyRow } from './rows/studies.entity.js';
import { SubjectRow } from './rows/specimens.entity.js';
import { TissueMomentRow } from './rows/tissue.entity.js';
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
  BadgeRow,
  DayPassRow,
  SessionRow,
  DeviceRow,
  SetupLinkRow,
  ReviewGrantRow,
  ReviewGrantEndRow,
  LookRow,
  CompetenceRow,
  RevisionRow,
  RevisionActRow,
  GatePolicyRow,
  InstrumentRow,
  InstrumentActRow,
  RoundRow,
  RoundActRow,
  ReagentRow,
  LotRow,
  LotActRow,
  ContainerRow,
  ContainerActRow,
  ComponentRow,
  RecipeRow,
  PreparationRow,
  PreparationReadingRow,
  BathRow,
  BathActRow,
  BathUseRow,
  HoldRow,
  HoldEndRow,
  MovementRow,
  PlaceRow,
  TemperatureRow,
  ExcursionRow,
  ExcursionEndRow,
  WaterCheckRow,
  BalanceRow,
  CountRow,
  SupplierRow,
  ProductRow,
  StockPolicyRow,
  BuyingRow,
  OrderRow,
  OrderActRow,
  OrderReceiptRow,
  FileRow,
  SubjectRow,
  TissueMomentRow,
  RunRow,
  RunSubjectRow,
  RunEventRow,
  BenchRunRow,
  ReleaseRow,
  ReleaseWithdrawalRow,
  ReleaseHoldRow,
  SecondLookRow,
  ReleaseQuestionRow,
  ReleaseAnswerRow,
  ReleaseUpheldRow,
  DeviationRow,
  DeviationActRow,
  SeriesRow,
  SeriesRulesRow,
  ControlValueRow,
  LimitsRow,
  SeriesMarkRow,
  ControlResultRow,
  ControlResultChangeRow,
  FailureActRow,
  PictureRow,
  MeasurementRow,
  PictureProgressRow,
  RunPictureRow,
  RunPictureBackRow,
  PaperSheetRow,
  PaperSheetEndRow,
  PictureOutlineRow,
  StudyRow,
  StudyPairRow,
  StudyExclusionRow,
  StudyDecisionRow,
  LookbackRow,
  LookbackAnswerRow,
  LookbackCloseRow,
  RecallRow,
  RecallLotRow,
  RecallToldRow,
  TrayUseRow,
  ControlPlanRow,
  ControlPlanActRow,
  CalendarRow,
  ControlTaskRow,
  BenchPlanRow,
  HandOverNoteRow,
  HandOverNoteEndRow,
  PackRow,
  PackActRow,
  PackProgressRow,
  KeepingTermRow,
  LegalHoldRow,
  LegalHoldEndRow,
  WebhookRow,
  WebhookSecretRow,
  WebhookDeliveryRow,
  JobRow,
  NoticeRow,
  AlertRow,
  MailRow,
  CalendarLinkRow,
];
