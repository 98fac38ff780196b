import { lazy } from 'react';
import type { Role } from '../../core/people/roles.js';
import { match } from './match.js';
import { RECORD_SCREENS } from './record-screens.js';
import { isFor, type Screen } from './screen.js';
import { STOCK_SCREENS } from './stock-screens.js';
import { APP_WORDS } from './words.js';

/** Every screen, in the order of the navigation. */
export const SCREENS: readonly Screen[] = [
  {
    path: '/',
    title: APP_WORDS.screens.bench,
    screen: lazy(() => import('../bench/BenchScreen.js')),
    inNavigation: true,
  },
  {
    path: '/runs/new',
    title: APP_WORDS.screens.newRun,
    screen: lazy(() => import('../new-run/NewRunScreen.js')),
    roles: ['technician', 'releaser'],
  },
  {
    path: '/plan',
    title: APP_WORDS.screens.plan,
    screen: lazy(() => import('../plan/PlanScreen.js')),
  },
  {
    path: '/hand-over',
    title: APP_WORDS.screens.handOver,
    screen: lazy(() => import('../handover/HandOverScreen.js')),
    roles: ['technician', 'releaser', 'manager', 'director'],
  },
  {
    path: '/paper',
    title: APP_WORDS.screens.paper,
    screen: lazy(() => import('../paper/SheetsScreen.js')),
    review: true,
  },
  {
    path: '/paper/runs/:run',
    title: APP_WORDS.screens.paper,
    screen: lazy(() => import('../paper/EntryScreen.js')),
    roles: ['technician', 'releaser'],
  },
  {
    path: '/room/:station',
    title: APP_WORDS.screens.room,
    screen: lazy(() => import('../room/RoomScreen.js')),
    bare: true,
  },
  {
    path: '/release',
    title: APP_WORDS.screens.release,
    screen: lazy(() => import('../release/WorklistScreen.js')),
    inNavigation: true,
    section: 'release',
    inSection: APP_WORDS.inSection.toSign,
  },
  {
    path: '/release/second-looks',
    title: APP_WORDS.inSection.secondLooks,
    screen: lazy(() => import('../second-looks/SecondLooksScreen.js')),
    review: true,
    section: 'release',
    inSection: APP_WORDS.inSection.secondLooks,
  },
  {
    path: '/release/:run',
    title: APP_WORDS.screens.release,
    screen: lazy(() => import('../release/RunScreen.js')),
    review: true,
  },
  {
    path: '/protocols',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/ProtocolsScreen.js')),
    inNavigation: true,
    review: true,
  },
  {
    path: '/protocols/new',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/editor/EditScreen.js')),
    roles: ['manager', 'director'],
  },
  {
    path: '/protocols/:revision/edit',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/editor/EditScreen.js')),
    roles: ['manager', 'director'],
  },
  {
    path: '/protocols/:revision',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/RevisionScreen.js')),
    review: true,
  },
  {
    path: '/protocols/:a/compare/:b',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/CompareScreen.js')),
    review: true,
  },
  ...STOCK_SCREENS,
  {
    path: '/controls',
    title: APP_WORDS.screens.controls,
    screen: lazy(() => import('../controls/TodayScreen.js')),
    inNavigation: true,
    section: 'controls',
    inSection: APP_WORDS.inSection.today,
  },
  {
    path: '/controls/plans',
    title: APP_WORDS.screens.controls,
    screen: lazy(() => import('../controls/PlansScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.plans,
  },
  {
    path: '/controls/plans/:protocol',
    title: APP_WORDS.screens.controls,
    screen: lazy(() => import('../controls/PlanScreen.js')),
    section: 'controls',
  },
  {
    path: '/controls/days',
    title: APP_WORDS.screens.controls,
    screen: lazy(() => import('../controls/DaysScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.daysWithout,
  },
  {
    path: '/deviations',
    title: APP_WORDS.screens.quality,
    screen: lazy(() => import('../deviations/DeviationsScreen.js')),
    inNavigation: true,
    section: 'quality',
    inSection: APP_WORDS.inSection.deviations,
  },
  {
    path: '/deviations/new',
    title: APP_WORDS.screens.quality,
    screen: lazy(() => import('../deviations/NewDeviationScreen.js')),
    section: 'quality',
    roles: ['technician', 'releaser', 'manager', 'director'],
  },
  {
    path: '/deviations/trends',
    title: APP_WORDS.screens.quality,
    screen: lazy(() => import('../deviations/TrendsScreen.js')),
    section: 'quality',
    inSection: APP_WORDS.inSection.trends,
  },
  {
    path: '/quality/month',
    title: APP_WORDS.inSection.months,
    screen: lazy(() => import('../month/MonthScreen.js')),
    section: 'quality',
    inSection: APP_WORDS.inSection.months,
  },
  {
    path: '/quality/rules',
    title: APP_WORDS.inSection.rules,
    screen: lazy(() => import('../policies/RulesScreen.js')),
    section: 'quality',
    inSection: APP_WORDS.inSection.rules,
    review: true,
  },
  {
    path: '/deviations/:deviation',
    title: APP_WORDS.screens.quality,
    screen: lazy(() => import('../deviations/DeviationScreen.js')),
    section: 'quality',
  },
  {
    path: '/notices',
    title: APP_WORDS.screens.notices,
    screen: lazy(() => import('../notices/NoticesScreen.js')),
    inNavigation: true,
  },
  {
    path: '/people',
    title: APP_WORDS.screens.people,
    screen: lazy(() => import('../people/PeopleScreen.js')),
    inNavigation: true,
    section: 'people',
    inSection: APP_WORDS.inSection.accounts,
    roles: ['administrator', 'director', 'manager', 'reviewer'],
  },
  {
    path: '/people/competence',
    title: APP_WORDS.inSection.competence,
    screen: lazy(() => import('../competence/CompetenceScreen.js')),
    section: 'people',
    inSection: APP_WORDS.inSection.competence,
  },
  {
    path: '/people/connections',
    title: APP_WORDS.inSection.connections,
    screen: lazy(() => import('../connections/ConnectionsScreen.js')),
    section: 'people',
    inSection: APP_WORDS.inSection.connections,
    roles: ['administrator', 'director', 'manager'],
  },
  {
    path: '/lookbacks',
    title: APP_WORDS.screens.lookbacks,
    screen: lazy(() => import('../recalls/LookbacksScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.lookbacks,
  },
  {
    path: '/lookbacks/:lookback',
    title: APP_WORDS.screens.lookbacks,
    screen: lazy(() => import('../recalls/LookbackScreen.js')),
    section: 'controls',
  },
  {
    path: '/controls/results',
    title: APP_WORDS.inSection.results,
    screen: lazy(() => import('../control-results/ResultsScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.results,
  },
  {
    path: '/controls/charts',
    title: APP_WORDS.inSection.charts,
    screen: lazy(() => import('../control-results/ChartsScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.charts,
  },
  {
    path: '/controls/charts/:series',
    title: APP_WORDS.inSection.charts,
    screen: lazy(() => import('../control-results/ChartScreen.js')),
    section: 'controls',
  },
  {
    path: '/controls/failures',
    title: APP_WORDS.inSection.failures,
    screen: lazy(() => import('../control-results/FailuresScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.failures,
  },
  {
    path: '/controls/failures/:failure',
    title: APP_WORDS.inSection.failures,
    screen: lazy(() => import('../control-results/FailureScreen.js')),
    section: 'controls',
  },
  {
    path: '/controls/instruments',
    title: APP_WORDS.inSection.instruments,
    screen: lazy(() => import('../instruments/InstrumentsScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.instruments,
  },
  {
    path: '/controls/rounds',
    title: APP_WORDS.inSection.rounds,
    screen: lazy(() => import('../rounds/RoundsScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.rounds,
  },
  {
    path: '/controls/pictures',
    title: APP_WORDS.inSection.pictures,
    screen: lazy(() => import('../pictures/PicturesScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.pictures,
  },
  {
    path: '/controls/lots',
    title: APP_WORDS.inSection.newLots,
    screen: lazy(() => import('../studies/StudiesScreen.js')),
    section: 'controls',
    inSection: APP_WORDS.inSection.newLots,
  },
  {
    path: '/controls/lots/:study',
    title: APP_WORDS.inSection.newLots,
    screen: lazy(() => import('../studies/StudyScreen.js')),
    section: 'controls',
  },
  ...RECORD_SCREENS,
  {
    path: '/help',
    title: APP_WORDS.screens.help,
    screen: lazy(() => import('../help/HelpScreen.js')),
    review: true,
  },
  {
    path: '/guide',
    title: APP_WORDS.screens.guide,
    screen: lazy(() => import('../guide/GuideScreen.js')),
    review: true,
  },
];

/** Whether somebody can open the screen of an address. */
export function canOpen(href: string, may: (...roles: Role[]) => boolean): boolean {
  const path = href.split(/[?#]/)[0] ?? '';
  const screen = SCREENS.find((each) => match(each.path, path));
  return screen !== undefined && isFor(screen, may);
}
