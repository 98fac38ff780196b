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
];
