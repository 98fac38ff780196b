import { type ComponentType, lazy, type LazyExoticComponent } from 'react';
import type { Role } from '../../core/people/roles.js';
import { APP_WORDS } from './words.js';

/** A screen gets the parts of its address as props. */
export type ScreenProps = Record<string, string>;

export interface Screen {
  /** Address, with `:name` for a part that changes. */
  path: string;
  title: string;
  /** Loaded when first opened. */
  screen: LazyExoticComponent<ComponentType<ScreenProps>>;
  /** Stands in the navigation. */
  inNavigation?: true;
  /** Shown without navigation or anything else around it. */
  bare?: true;
  /** Only for people with one of these roles; everyone when absent. */
  roles?: readonly Role[];
}

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
