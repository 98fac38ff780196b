import { randomInt } from 'node:crypto';
import { type LabelKind, makeLabel } from '../../core/gs1/label.js';
import { SubjectRow } from '../rows/specimens.entity.js';
import { ContainerRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';

/** Crockford's base 32, which leaves out the letters that are misread. */
const CHARACTERS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** Whether a container, specimen or slide carries this label. */
export async function labelTaken(view: View, label: string): Promise<boolean> {
  return (await view.count(ContainerRow, { label })) + (await view.count(SubjectRow, { label })) > 0;
}

/**
 * A label that nothing carries yet, drawn at random so that a bottle of another laboratory is not taken for one of ours:
 * 'SW1:C:7K3M-0042' and the check character.
 */
export async function unusedLabel(view: View, kind: LabelKind): Promise<string> {
  const four = (): string => Array.from({ length: 4 }, () => CHARACTERS.charAt(randomInt(CHARACTERS.length))).join('');
  for (;;) {
    const label = makeLabel(kind, `${four()}-${four()}`);
    if (!(await labelTaken(view, label))) return label;
  }
}
