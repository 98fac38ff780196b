import type { Standing } from '../../core/pack/index-page.js';
import type { View } from '../view.js';
import { type Kind, kindsOf } from './kinds.js';
import { type Bounds, countRows } from './plan.js';

/** What stands out among the rows of a kind, by name. */
const STANDS_OUT: readonly { title: string; kind: string; which: string }[] = [
  { title: 'Events entered late', kind: 'events', which: `t.stamp LIKE '%"late":true%'` },
  { title: 'Corrections among events', kind: 'events', which: `t.kind = 'corrected'` },
  { title: "Runs on patients' material", kind: 'runs', which: `t.purpose = 'patients'` },
  { title: 'Releases by exception', kind: 'releases', which: 't.exception IS NOT NULL' },
  { title: 'Releases that amend another', kind: 'releases', which: 't.amends IS NOT NULL' },
  {
    title: 'Releases withdrawn since',
    kind: 'releases',
    which: 'EXISTS (SELECT 1 FROM release_withdrawal w WHERE w.release_id = t.id)',
  },
  { title: 'Readings of controls that failed', kind: 'control-results', which: 'NOT t.passed' },
  {
    title: 'Readings of controls corrected since',
    kind: 'control-results',
    which: 'EXISTS (SELECT 1 FROM control_result_change c WHERE c.result_id = t.id)',
  },
  { title: 'Counts of stock that differed', kind: 'counts', which: 't.variance <> 0' },
];

/** What stands out in the period itself, each beside the number of rows among which it does. */
export async function standingIn(view: View, bounds: Bounds): Promise<Standing[]> {
  const kinds = new Map(kindsOf(view).map((kind) => [kind.name, { ...kind, earlier: 'none' }]));
  const found: Standing[] = [];
  for (const { title, kind: name, which } of STANDS_OUT) {
    const kind = kinds.get(name) as Kind;
    found.push({
      title,
      count: await countRows(view, kind, bounds, which),
      of: await countRows(view, kind, bounds),
    });
  }
  return found;
}
