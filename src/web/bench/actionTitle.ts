import type { NextAction } from '../../core/run/next.js';
import type { Standing } from './bench.js';
import { BENCH, stepName } from './words.js';

/** An action in as few words as can be read across a room. */
export function actionTitle(
  { kind, step, subject }: Pick<NextAction, 'kind' | 'step' | 'subject'>,
  run: Standing,
): string {
  if (step) return BENCH.act[kind](stepName(step));
  const control = run.subjects.find(({ subjectId }) => subjectId === subject);
  return BENCH.act[kind](control?.control ?? control?.label ?? '');
}
