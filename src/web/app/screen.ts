import type { ComponentType, LazyExoticComponent } from 'react';
import type { Role } from '../../core/people/roles.js';

/** Topics with several screens. */
export type Section = 'stock' | 'controls' | 'people';

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
  /** Shown without navigation or anything else around it. */
  bare?: true;
  /** Only for people with one of these roles; everyone when absent. */
  roles?: readonly Role[];
}
