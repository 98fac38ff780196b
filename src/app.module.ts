import {
  type DynamicModule,
  Global,
  Module,
  type ModuleMetadata,
  type OnApplicationShutdown,
  type Provider,
} from '@nestjs/common';
import { APP_FILTER, APP_GUARD, APP_PIPE } from '@nestjs/core';
import { Clock } from './clock.js';
import { Config } from './config.js';
import { FhirModule } from './modules/fhir/fhir.module.js';
import { FilesModule } from './modules/files/files.module.js';
import { CompetenceModule } from './modules/competence/competence.module.js';
import { ExternalAssessmentModule } from './modules/external-assessment/external-assessment.module.js';
import { CalendarModule } from './modules/calendar/calendar.module.js';
import { GuideModule } from './modules/guide/guide.module.js';
import { HandOverModule } from './modules/hand-over/hand-over.module.js';
import { PlansModule } from './modules/plans/plans.module.js';
import { PoliciesModule } from './modules/policies/policies.module.js';
import { PicturesModule } from './modules/pictures/pictures.module.js';
import { StudiesModule } from './modules/studies/studies.module.js';
import { ControlResultsModule } from './modules/control-results/control-results.module.js';
import { ControlPlansModule } from './modules/control-plans/control-plans.module.js';
import { DeviationsModule } from './modules/deviations/deviations.module.js';
import { HealthModule } from './modules/health/health.module.js';
import { AccessGuard } from './modules/http/access.guard.js';
import { FormPipe } from './modules/http/form.pipe.js';
import { HealthChecks } from './modules/http/health-checks.js';
import { Passwords } from './modules/http/passwords.js';
import { ProblemFilter } from './modules/http/problem.filter.js';
import { Reviewing } from './modules/http/reviewing.js';
import { Sessions } from './modules/http/sessions.js';
import { Signing } from './modules/http/signing.js';
import { InstrumentsModule } from './modules/instruments/instruments.module.js';
import { LedgerModule } from './modules/ledger/ledger.module.js';
import { LiveModule } from './modules/live/live.module.js';
import { NoticesModule } from './modules/notices/notices.module.js';
import { OrdersModule } from './modules/orders/orders.module.js';
import { PacksModule } from './modules/packs/packs.module.js';
import { PeopleModule } from './modules/people/people.module.js';
import { PlacesModule } from './modules/places/places.module.js';
import { PreparationsModule } from './modules/preparations/preparations.module.js';
import { ProtocolsModule } from './modules/protocols/protocols.module.js';
import { RecallsModule } from './modules/recalls/recalls.module.js';
import { RecordModule } from './modules/record/record.module.js';
import { ReleasesModule } from './modules/releases/releases.module.js';
import { ReportsModule } from './modules/reports/reports.module.js';
import { ReviewModule } from './modules/review/review.module.js';
import { RunsModule } from './modules/runs/runs.module.js';
import { SecondLooksModule } from './modules/second-looks/second-looks.module.js';
import { FindModule } from './modules/find/find.module.js';
import { SpecimensModule } from './modules/specimens/specimens.module.js';
import { StockModule } from './modules/stock/stock.module.js';
import { TimeModule } from './modules/time/time.module.js';
import { KeepingModule } from './modules/keeping/keeping.module.js';
import { WebhooksModule } from './modules/webhooks/webhooks.module.js';
import { openStore } from './open-store.js';
import { Store } from './store/store.js';

/** The topics; each is an island. */
const TOPICS: NonNullable<ModuleMetadata['imports']> = [
  PeopleModule,
  LiveModule,
  HealthModule,
  TimeModule,
  RunsModule,
  ReleasesModule,
  SecondLooksModule,
  NoticesModule,
  RecordModule,
  ReviewModule,
  PacksModule,
  RecallsModule,
  CalendarModule,
  ProtocolsModule,
  StockModule,
  PlacesModule,
  PreparationsModule,
  OrdersModule,
  LedgerModule,
  FindModule,
  SpecimensModule,
  PlansModule,
  GuideModule,
  HandOverModule,
  PoliciesModule,
  CompetenceModule,
  InstrumentsModule,
  ExternalAssessmentModule,
  FhirModule,
  WebhooksModule,
  KeepingModule,
  FilesModule,
  ControlResultsModule,
  PicturesModule,
  StudiesModule,
  ControlPlansModule,
  DeviationsModule,
  ReportsModule,
];

const SHARED: Provider[] = [
  { provide: Store, useFactory: openStore, inject: [Config, Clock] },
  Passwords,
  Reviewing,
  Sessions,
  Signing,
  HealthChecks,
];

/** What every topic may ask for: the configuration, the clock, the store, and who acts. */
@Global()
@Module({})
export class CoreModule implements OnApplicationShutdown {
  static forRoot(config: Config, clock: Clock): DynamicModule {
    const given: Provider[] = [{ provide: Config, useValue: config }, { provide: Clock, useValue: clock }, ...SHARED];
    return { module: CoreModule, providers: given, exports: given };
  }

  constructor(private readonly store: Store) {}

  async onApplicationShutdown(): Promise<void> {
    await this.store.close();
  }
}

@Module({})
export class AppModule {
  static forRoot(config: Config, clock: Clock): DynamicModule {
    return {
      module: AppModule,
      imports: [CoreModule.forRoot(config, clock), ...TOPICS],
      providers: [
        { provide: APP_GUARD, useClass: AccessGuard },
        { provide: APP_PIPE, useClass: FormPipe },
        { provide: APP_FILTER, useClass: ProblemFilter },
      ],
    };
  }
}
