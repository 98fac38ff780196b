import { lazy } from 'react';
import type { Screen } from './screen.js';
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
  },
  {
    path: '/release/:run',
    title: APP_WORDS.screens.release,
    screen: lazy(() => import('../release/RunScreen.js')),
  },
  {
    path: '/protocols',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/ProtocolsScreen.js')),
    inNavigation: true,
  },
  {
    path: '/protocols/:revision',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/RevisionScreen.js')),
  },
  {
    path: '/protocols/:a/compare/:b',
    title: APP_WORDS.screens.protocols,
    screen: lazy(() => import('../protocols/CompareScreen.js')),
  },
  {
    path: '/stock',
    title: APP_WORDS.screens.stock,
    screen: lazy(() => import('../stock/StockScreen.js')),
    inNavigation: true,
    section: 'stock',
    inSection: APP_WORDS.inSection.lots,
  },
  {
    path: '/stock/receive',
    title: APP_WORDS.screens.stock,
    screen: lazy(() => import('../stock/ReceiveScreen.js')),
    section: 'stock',
    roles: ['technician', 'manager', 'director'],
  },
  {
    path: '/stock/:lot',
    title: APP_WORDS.screens.stock,
    screen: lazy(() => import('../stock/LotScreen.js')),
    section: 'stock',
  },
  {
    path: '/stock/:lot/labels',
    title: APP_WORDS.screens.labels,
    screen: lazy(() => import('../stock/LabelsScreen.js')),
    bare: true,
  },
  {
    path: '/notices',
    title: APP_WORDS.screens.notices,
    screen: lazy(() => import('../record/NoticesScreen.js')),
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
    path: '/record',
    title: APP_WORDS.screens.record,
    screen: lazy(() => import('../record/RecordScreen.js')),
    inNavigation: true,
    roles: ['administrator', 'director', 'manager', 'reviewer'],
  },
];
