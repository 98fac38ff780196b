import type { Finding } from '../core/gate/finding.js';
import type { Judgement, PointJudgement } from '../core/gate/judge.js';
import type { TightenedRule } from '../core/gate/policy.js';
import type { ContainerFacts } from '../core/lot/facts.js';
import type { Limit } from '../core/lot/lot.js';
import type { UnusableReason } from '../core/lot/validity.js';
import type { Protocol, Reagent } from '../core/protocol/protocol.js';
import type { RunEvent } from '../core/run/events.js';
import type { RunView } from '../core/run/view.js';
import type { Criteria, Design, StudyResults } from '../core/study/acceptance.js';
import type { Instant } from '../core/time/instant.js';
import type { components, paths as Documented } from './api.gen.js';

/** The shapes of the project's OpenAPI document. */
type Said = components['schemas'];

/** A shape that core tells more finely than the document can; what core says must still fit the document. */
type Fits<Core extends Dto, Dto> = { said: Dto; meant: Core };

/** What a decision on a revision says, by its kind. */
interface Decided {
  data: {
    note?: string;
    effectiveFrom?: Instant;
    verification?: Said['VerificationDto'];
    newAssessment?: boolean;
    /** Id of the revision that takes its place. */
    by?: string;
    signature?: Said['SignatureDto'];
  };
}

/** With figures as core reckons them. */
type Reckoned<Dto> = Omit<Dto, 'results'> & { results: StudyResults };

type PlannedStudy = Omit<Said['StudyDto'], 'results' | 'design' | 'criteria' | 'decision'> & {
  results: StudyResults | null;
  design: Design;
  criteria: Criteria;
  decision?: Reckoned<Said['StudyDecisionDto']>;
};

type Finer =
  | Fits<RunView, Said['RunViewDto']>
  | Fits<RunEvent, Said['RunEventDto']>
  | Fits<ContainerFacts, Said['ContainerFactsDto']>
  | Fits<Limit, Said['LimitDto']>
  | Fits<UnusableReason, Said['UnusableReasonDto']>
  | Fits<TightenedRule, Said['TightenedRuleDto']>
  | Fits<Protocol, Said['ProtocolDto']>
  | Fits<Reagent, Said['ReagentDto']>
  | Fits<Finding, Said['FindingDto']>
  | Fits<PointJudgement, Said['PointJudgementDto']>
  | Fits<Judgement, Said['JudgementDto']>
  // The document says of their figures only that they are an object.
  | { said: Said['StudyDecisionDto']; meant: Reckoned<Said['StudyDecisionDto']> }
  | { said: Said['StudyDto']; meant: PlannedStudy }
  | Fits<Omit<Said['RevisionActDto'], 'data'> & Decided, Said['RevisionActDto']>;

type Same<A, B> = (<T>() => T extends A ? 1 : 2) extends <T>() => T extends B ? 1 : 2 ? true : false;

type Meant<Dto, Each = Finer> = Each extends { said: infer Of; meant: infer Core }
  ? Same<Of, Dto> extends true
    ? Core
    : never
  : never;

/** The same shape, with core's types wherever core has them. */
type Fine<T> = [Meant<T>] extends [never]
  ? T extends readonly (infer Item)[]
    ? Fine<Item>[]
    : T extends object
      ? { [Key in keyof T]: Fine<T[Key]> }
      : T
  : Meant<T>;

/** Every route of the API, as the client takes it. */
export type paths = { [Path in keyof Documented]: Fine<Documented[Path]> };

export type Session = Fine<Said['SessionDto']>;
export type HandOverNote = Fine<Said['HandOverNoteDto']>;
export type Signature = Fine<Said['SignatureDto']>;
export type ProtocolLine = Fine<Said['ProtocolSummaryDto']>;
export type Revision = Fine<Said['RevisionDto']>;
export type RevisionState = Revision['state'];
export type RevisionAct = Revision['acts'][number];
export type OpenProposal = Revision['openProposals'][number];
export type FigureValue = OpenProposal['value'];
export type Confirmation = Fine<Said['FigureDto']>;
export type Difference = Fine<Said['DifferenceDto']>;
export type Approval = Fine<Said['ApprovalDto']>;
export type Subject = Fine<Said['SubjectSummaryDto']>;
export type Identifier = Fine<Said['IdentifierDto']>;
export type NewSubject = Fine<Said['NewSubjectDto']>;
export type Scanned = Fine<Said['ScannedDto']>;
export type Container = Fine<Said['ContainerDto']>;
export type Lot = Fine<Said['LotDto']>;
export type NewLot = Fine<Said['NewLotDto']>;
export type NewRelease = Fine<Said['NewReleaseDto']>;
export type ReleaseKind = NewRelease['kind'];
export type Release = Fine<Said['ReleaseDto']>;
export type Person = Fine<Said['PersonDto']>;
export type Device = Fine<Said['DeviceDto']>;
export type Pack = Said['PackDto'];
export type NewPack = Said['NewPackDto'];
export type RecordEntry = Fine<Said['EntryDto']>;
export type NewRunEvent = Fine<Said['NewRunEventDto']>;
export type BenchEventKind = NewRunEvent['kind'];
export type NewAnswer = Fine<Said['NewAnswerDto']>;
export type NewRun = Fine<Said['NewRunDto']>;
export type StoodRun = Fine<Said['StoodRunDto']>;

export type Notice = Said['NoticeDto'];

export type KeptFile = Said['FileDto'];
export type Picture = Said['PictureDto'];
export type NewPicture = Said['NewPictureDto'];
export type RunPictures = Said['RunPicturesDto'];
export type NewRunPicture = Said['NewRunPictureDto'];
export type Study = Fine<Said['StudyDto']>;
export type NewStudy = Said['NewStudyDto'];
export type DesignGoal = Said['DesignGoalDto'];

export type Competence = Fine<Said['CompetenceDto']>;
export type CompetenceList = Fine<Said['CompetenceListDto']>;
export type Instrument = Fine<Said['InstrumentDto']>;
export type AssessmentRound = Fine<Said['RoundDto']>;

export type PlanAsked = Said['PlanAskedDto'];
export type PlanDraft = Said['PlanDraftDto'];
export type PlannedRun = Said['PlanRunDto'];
export type AcceptedPlan = Said['AcceptedPlanDto'];
export type PaperSheet = Said['PaperSheetDto'];
export type PaperEntry = Said['PaperEntryDto'];

export type Places = Fine<Said['PlacesDto']>;
export type StoragePlace = Fine<Said['PlaceDto']>;
export type PlaceName = Fine<Said['PlaceNameDto']>;
export type PlaceDetail = Fine<Said['PlaceDetailDto']>;
export type NewPlace = Fine<Said['NewPlaceDto']>;
export type Hold = Fine<Said['HoldDto']>;
export type Excursion = Fine<Said['ExcursionDto']>;
export type TemperatureImport = Fine<Said['TemperatureImportDto']>;
export type LeavingList = Fine<Said['LeavingListDto']>;
export type LotEvidenceSaid = Fine<Said['LotEvidenceDto']>;

export type OutlookList = Fine<Said['OutlookListDto']>;
export type OutlookLine = OutlookList['lines'][number];
export type Outlook = Fine<Said['OutlookDto']>;
export type Reorder = Fine<Said['ReorderDto']>;
export type Order = Fine<Said['OrderDto']>;
export type OrderSummary = Fine<Said['OrderSummaryDto']>;
export type Supplier = Fine<Said['SupplierDto']>;
export type Product = Fine<Said['ProductDto']>;
export type Buying = Fine<Said['BuyingDto']>;
export type StockPolicy = Fine<Said['StockPolicyDto']>;

export type ControlTasks = Fine<Said['ControlTasksDto']>;
export type ControlTask = ControlTasks['tasks'][number];
export type ControlPlan = Fine<Said['ControlPlanDto']>;
export type NewControlPlan = Fine<Said['NewControlPlanDto']>;
export type PlanSummary = Fine<Said['PlanSummaryDto']>;
export type PlanVersion = Fine<Said['PlanVersionDto']>;
export type PlanApproval = Fine<Said['PlanApprovalDto']>;
export type Plan = Fine<Said['PlanDto']>;
export type GateRule = Fine<Said['RuleDto']>;
export type PolicyRevision = Fine<Said['PolicyRevisionDto']>;
export type DaysWithout = Fine<Said['DaysWithoutDto']>;
export type ProtocolDays = DaysWithout['protocols'][number];
export type LaboratoryCalendar = Fine<Said['LaboratoryCalendarDto']>;

export type RecipeSummary = Fine<Said['RecipeSummaryDto']>;
export type KnownRecipe = Fine<Said['KnownRecipeDto']>;
export type Worksheet = Fine<Said['WorksheetDto']>;
export type WorksheetLine = Worksheet['lines'][number];
export type Preparation = Fine<Said['PreparationDto']>;
export type NewPreparation = Said['NewPreparationDto'];
export type Bath = Fine<Said['BathDto']>;
export type NewBath = Said['NewBathDto'];
export type BathRule = Fine<Said['BathRuleDto']>;

export type RecallView = Fine<Said['RecallViewDto']>;
export type Concerned = Said['ConcernedDto'];
export type LotTrace = Fine<Said['LotTraceDto']>;
export type TracedLot = Fine<Said['TracedLotDto']>;
export type TracedRun = Fine<Said['TracedRunDto']>;
export type Lookback = Fine<Said['LookbackDto']>;
export type LookbackItem = Fine<Said['LookbackItemDto']>;
export type SecondLook = Fine<Said['SecondLookDto']>;
export type LookedAtRelease = Fine<Said['LookedAtReleaseDto']>;
export type NewUpholding = Said['NewUpholdingDto'];
export type Outbox = Said['OutboxDto'];
export type Endpoint = Said['WebhookDto'];
export type Kept = Said['KeptDto'];
export type LegalHold = Said['LegalHoldDto'];
export type Keeping = Said['KeepingDto'];
export type Delivery = Said['DeliveryDto'];
export type ReagentRevision = Fine<Said['ReagentRevisionDto']>;

export type ReviewScope = Said['OwnScopeDto'];
export type ReviewGrant = Said['ReviewGrantDto'];
export type NewReviewGrant = Said['NewReviewGrantDto'];
export type Look = Said['LookDto'];
export type Found = Said['FoundDto'];
export type Answer = Fine<Said['AnswerDto']>;
export type Requirement = Said['RequirementDto'];
export type ProofRow = Said['ProofRowDto'];
export type KnownSignature = Said['KnownSignatureDto'];
