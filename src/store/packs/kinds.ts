import type { EntityMetadata } from 'typeorm';
import { ControlPlanActRow, ControlPlanRow, CalendarRow } from '../rows/control-plans.entity.js';
import {
  ControlResultChangeRow,
  ControlResultRow,
  ControlValueRow,
  FailureActRow,
  LimitsRow,
  SeriesMarkRow,
  SeriesRow,
  SeriesRulesRow,
} from '../rows/control-results.entity.js';
import { CompetenceRow } from '../rows/competence.entity.js';
import { DeviationActRow, DeviationRow } from '../rows/deviations.entity.js';
import { FileRow } from '../rows/files.entity.js';
import { InstrumentActRow, InstrumentRow } from '../rows/instruments.entity.js';
import { BalanceRow, CountRow, MovementRow } from '../rows/ledger.entity.js';
import {
  LookbackAnswerRow,
  LookbackCloseRow,
  LookbackRow,
  RecallLotRow,
  RecallRow,
  RecallToldRow,
  TrayUseRow,
} from '../rows/lookback.entity.js';
import {
  BuyingRow,
  OrderActRow,
  OrderReceiptRow,
  OrderRow,
  ProductRow,
  StockPolicyRow,
  SupplierRow,
} from '../rows/orders.entity.js';
import { MeasurementRow, PictureRow } from '../rows/pictures.entity.js';
import { ExcursionEndRow, ExcursionRow, PlaceRow, TemperatureRow, WaterCheckRow } from '../rows/places.entity.js';
import {
  BathActRow,
  BathRow,
  BathUseRow,
  PreparationReadingRow,
  PreparationRow,
  RecipeRow,
} from '../rows/preparations.entity.js';
import { RevisionActRow, RevisionRow } from '../rows/protocols.entity.js';
import { SealedRow } from '../rows/record.entity.js';
import { ReleaseHoldRow, ReleaseWithdrawalRow } from '../rows/releases.entity.js';
import { RoundActRow, RoundRow } from '../rows/rounds.entity.js';
import { RunPictureBackRow, RunPictureRow } from '../rows/run-pictures.entity.js';
import { ReleaseRow, RunEventRow, RunRow, RunSubjectRow } from '../rows/runs.entity.js';
import { SubjectRow } from '../rows/specimens.entity.js';
import {
  ComponentRow,
  ContainerActRow,
  ContainerRow,
  HoldEndRow,
  HoldRow,
  LotActRow,
  LotRow,
  ReagentRow,
} from '../rows/stock.entity.js';
import { StudyDecisionRow, StudyExclusionRow, StudyPairRow, StudyRow } from '../rows/studies.entity.js';
import type { View } from '../view.js';

export const AREAS = ['Runs', 'Protocols', 'Controls', 'People', 'Instruments', 'Stock', 'Other records'] as const;
export type Area = (typeof AREAS)[number];

/**
 * A kind of record in a pack. What was written in the period is in it; of what stood before, `earlier` says which: all that
 * later acts rest on ('all'), or rows for which this condition holds, in which `t` is the row and {period} is the period
 * of `seq` of another. `within` limits it when the pack is limited to some runs, which {runs} names.
 */
export interface Kind {
  /** Of its files. */
  name: string;
  table: EntityMetadata;
  area: Area;
  title: string;
  earlier: 'all' | 'none' | string;
  within: string | null;
}

type Line = [row: new () => object, name: string, title: string, rest?: Partial<Pick<Kind, 'earlier' | 'within'>>];

const OF_RUN = { within: 't.run_id IN {runs}' };
/** A run that went on, or was released, in the period is there from its beginning. */
const WENT_ON = (run: string) =>
  `(EXISTS (SELECT 1 FROM run_event e WHERE e.run_id = ${run} AND e.seq {period})
    OR EXISTS (SELECT 1 FROM release r WHERE r.run_id = ${run} AND r.seq {period}))`;
const PART_OF_RUN = { ...OF_RUN, earlier: WENT_ON('t.run_id') };
const STANDS = { earlier: 'all' };
const OF_RESULT = { within: 't.result_id IN (SELECT id FROM control_result WHERE run_id IN {runs})' };

const KINDS: Record<Exclude<Area, 'Other records'>, readonly Line[]> = {
  Runs: [
    [RunRow, 'runs', 'Runs', { within: 't.id IN {runs}', earlier: WENT_ON('t.id') }],
    [
      SubjectRow,
      'subjects',
      'Specimens, slides and control material',
      {
        within: `(t.id IN (SELECT subject_id FROM run_subject WHERE run_id IN {runs}) OR t.id IN
          (SELECT s.parent_id FROM subject s JOIN run_subject b ON b.subject_id = s.id WHERE b.run_id IN {runs}))`,
        earlier: 'EXISTS (SELECT 1 FROM run_subject b WHERE b.subject_id = t.id AND b.seq {period})',
      },
    ],
    [RunSubjectRow, 'run-subjects', 'What each run stained', PART_OF_RUN],
    [RunEventRow, 'events', 'Events of runs: steps, readings, corrections', PART_OF_RUN],
    [TrayUseRow, 'tray-uses', 'Containers on the trays of runs', PART_OF_RUN],
    [
      ReleaseRow,
      'releases',
      'Releases, with findings and verdict as they were',
      {
        ...OF_RUN,
        earlier: 'EXISTS (SELECT 1 FROM release_withdrawal w WHERE w.release_id = t.id AND w.seq {period})',
      },
    ],
    [
      ReleaseWithdrawalRow,
      'withdrawals',
      'Releases withdrawn',
      { within: 't.release_id IN (SELECT id FROM release WHERE run_id IN {runs})' },
    ],
    [ReleaseHoldRow, 'release-holds', 'Results held back', OF_RUN],
    [
      DeviationRow,
      'deviations',
      'Deviations',
      { earlier: 'EXISTS (SELECT 1 FROM deviation_act a WHERE a.deviation_id = t.id AND a.seq {period})' },
    ],
    [DeviationActRow, 'deviation-acts', 'What was done about deviations'],
    [
      LookbackRow,
      'lookbacks',
      'Questions on earlier work',
      { earlier: 'EXISTS (SELECT 1 FROM lookback_answer a WHERE a.lookback_id = t.id AND a.seq {period})' },
    ],
    [LookbackAnswerRow, 'lookback-answers', 'Answers to them', OF_RUN],
    [LookbackCloseRow, 'lookback-closes', 'Their signed ends'],
    [RunPictureRow, 'run-pictures', 'Pictures of what runs stained', OF_RUN],
    [RunPictureBackRow, 'run-pictures-back', 'Pictures of runs that were taken back'],
    [FileRow, 'files', 'Files that are kept: certificates, pictures'],
  ],
  Protocols: [
    [RevisionRow, 'revisions', 'Revisions of protocols', STANDS],
    [RevisionActRow, 'revision-acts', 'Decisions on revisions, with signatures', STANDS],
  ],
  Controls: [
    [ControlPlanRow, 'control-plans', 'Control plans', STANDS],
    [ControlPlanActRow, 'control-plan-acts', 'Approvals of control plans', STANDS],
    [CalendarRow, 'calendars', 'When the laboratory is open', STANDS],
    [ControlResultRow, 'control-results', 'Readings of controls', OF_RUN],
    [ControlResultChangeRow, 'control-result-changes', 'Readings that were corrected', OF_RESULT],
    [FailureActRow, 'failure-acts', 'What was done about failed controls', OF_RESULT],
    [SeriesRow, 'control-series', 'Series of numbers that controls give', STANDS],
    [SeriesRulesRow, 'control-rules', 'Rules of series', STANDS],
    [LimitsRow, 'control-limits', 'Limits of series, with signatures', STANDS],
    [SeriesMarkRow, 'control-marks', 'Marks on control charts'],
    [ControlValueRow, 'control-values', 'Values of controls'],
    [PictureRow, 'pictures', 'Pictures of controls that were measured'],
    [MeasurementRow, 'measurements', 'What was measured in them'],
    [StudyRow, 'studies', 'Studies of new lots', STANDS],
    [StudyPairRow, 'study-pairs', 'Pairs of studies', STANDS],
    [StudyExclusionRow, 'study-exclusions', 'Pairs that do not count', STANDS],
    [StudyDecisionRow, 'study-decisions', 'Signed ends of studies', STANDS],
    [RoundRow, 'rounds', 'Rounds of outside assessment'],
    [RoundActRow, 'round-acts', 'What became of them'],
  ],
  People: [[CompetenceRow, 'competence', 'Decisions on competence', STANDS]],
  Instruments: [
    [InstrumentRow, 'instruments', 'Instruments', STANDS],
    [InstrumentActRow, 'instrument-acts', 'Calibration, service and placing of instruments', STANDS],
    [PlaceRow, 'places', 'Storage places and their limits', STANDS],
    [TemperatureRow, 'temperatures', 'Temperatures of storage places'],
    [ExcursionRow, 'excursions', 'Times outside of the limits'],
    [ExcursionEndRow, 'excursion-ends', 'Ends of these times'],
    [WaterCheckRow, 'water-checks', 'Looks at the water over picric acid'],
  ],
  Stock: [
    [ReagentRow, 'reagents', 'Catalogue', STANDS],
    [LotRow, 'lots', 'Lots', STANDS],
    [LotActRow, 'lot-acts', 'Decisions on lots', STANDS],
    [ContainerRow, 'containers', 'Containers', STANDS],
    [ContainerActRow, 'container-acts', 'What became of containers', STANDS],
    [ComponentRow, 'components', 'What preparations were made of', STANDS],
    [HoldRow, 'holds', 'Containers held', STANDS],
    [HoldEndRow, 'hold-ends', 'Decisions on holds', STANDS],
    [RecipeRow, 'recipes', 'Recipes', STANDS],
    [PreparationRow, 'preparations', 'Preparations', STANDS],
    [PreparationReadingRow, 'preparation-readings', 'Readings of preparations', STANDS],
    [BathRow, 'baths', 'Baths', STANDS],
    [BathActRow, 'bath-acts', 'What was done to baths', STANDS],
    [BathUseRow, 'bath-uses', 'Use of baths by runs', OF_RUN],
    [MovementRow, 'movements', 'Movements of the ledger'],
    [BalanceRow, 'balances', 'Balances of the ledger'],
    [CountRow, 'counts', 'Counts of stock'],
    [RecallRow, 'recalls', 'Recalls'],
    [RecallLotRow, 'recall-lots', 'Lots that recalls set aside'],
    [RecallToldRow, 'recall-told', 'Who was told of recalls'],
    [OrderRow, 'orders', 'Orders'],
    [OrderActRow, 'order-acts', 'What was done with orders'],
    [OrderReceiptRow, 'order-receipts', 'What came on orders'],
    [SupplierRow, 'suppliers', 'Suppliers', STANDS],
    [ProductRow, 'products', 'Products', STANDS],
    [StockPolicyRow, 'stock-policies', 'How reagents are kept in stock', STANDS],
    [BuyingRow, 'buying', 'How the laboratory buys', STANDS],
  ],
};

/** Every kind of record of this version; a table of facts that no line names is among the other records, so none is forgotten. */
export function kindsOf(view: View): Kind[] {
  const { connection } = view;
  const named = Object.entries(KINDS).flatMap(([area, lines]) =>
    lines.map(([row, name, title, { earlier = 'none', within = null } = {}]): Kind => ({
      name,
      table: connection.getMetadata(row),
      area: area as Area,
      title,
      earlier,
      within,
    })),
  );
  const known = new Set<unknown>([SealedRow, ...named.map(({ table }) => table.target)]);
  const others = connection.entityMetadatas.filter((table) => isFacts(table) && !known.has(table.target));
  const byName = others.sort((a, b) => (a.tableName < b.tableName ? -1 : 1));
  return [
    ...named,
    ...byName.map((table): Kind => {
      const words = table.tableName.replaceAll('_', ' ');
      const title = words.charAt(0).toUpperCase() + words.slice(1);
      return { name: words.replaceAll(' ', '-'), table, area: 'Other records', title, earlier: 'none', within: null };
    }),
  ];
}

/** Sealed values as they are, salt and all; only for a pack that includes them. */
export function sealedKind(view: View): Kind {
  return {
    name: 'sealed-values',
    table: view.connection.getMetadata(SealedRow),
    area: 'Runs',
    title: "Patients' identifiers and free words",
    earlier: OWNED_EARLIER,
    within: OWNED_WITHIN,
  };
}

const OWNED_EARLIER = 'EXISTS (SELECT 1 FROM run_subject b WHERE b.subject_id = t.owner_id AND b.seq {period})';
const OWNED_WITHIN =
  '(t.owner_id IN {runs} OR t.owner_id IN (SELECT subject_id FROM run_subject WHERE run_id IN {runs}))';

function isFacts(table: EntityMetadata): boolean {
  return ['id', 'laboratoryId', 'seq'].every((property) => table.findColumnWithPropertyName(property));
}
