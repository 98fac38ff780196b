import type { ComponentType, LazyExoticComponent } from 'react';
import type { Role } from '../../core/people/roles.js';

/** Topics with several screens. */
export type Section = 'release' | 'stock' | 'controls' | 'quality' | 'people' | 'record';

/** Parts of a section, in their order. */
export const GROUPS = ['hold', 'make', 'buy', 'follow'] as const;
export type Group = (typeof GROUPS)[number];

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
  /** The topic whose screens are shown beside it. */
  section?: Section;
  /** How it is called among the screens of its section; absent for one that opens from another. */
  inSection?: string;
  /** What it belongs to in a section of many screens. */
  group?: Group;
  /** Shown without navigation or anything else around it. */
  bare?: true;
  /** Only for people with one of these roles; everyone when absent. */
  roles?: readonly Role[];
  /** A reviewer can open it: everything that it asks for keeps to what was granted. */
  review?: true;
}

/** Where a reviewer begins. */
export const REVIEW_HOME = '/record/ask';

/** Whether a screen is for somebody; `may` tells whether they hold one of some roles. */
export function isFor({ roles, review }: Screen, may: (...roles: Role[]) => boolean): boolean {
  if (may('reviewer')) return review === true;
  return !roles || may(...roles);
}
