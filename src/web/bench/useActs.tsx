import { type ReactNode, useState } from 'react';
import type { BenchStamp } from '../../core/run/events.js';
import { type NextAction, passedMs, phaseAt } from '../../core/run/next.js';
import type { Step } from '../../core/protocol/protocol.js';
import { useSession } from '../app/session.js';
import { spanText } from '../parts/format.js';
import { PedalButton } from '../parts/PedalButton.js';
import { Sheet } from '../parts/Sheet.js';
import { Button } from '../parts/Button.js';
import { useRecord } from './acts.js';
import type { OnAct } from './BenchScreen.js';
import type { Standing } from './bench.js';
import { ClearSheet } from './ClearSheet.js';
import { ControlSheet } from './ControlSheet.js';
import { BENCH, stepName } from './words.js';

interface Asked {
  what: 'early' | 'eye' | 'order' | 'read-control' | 'clear';
  run: Standing;
  action: NextAction;
  /** When the person pressed, which is when it happened, however long the question takes. */
  stamp: BenchStamp;
}

/** Does what a person presses for, asking first only where one press could do harm or says too little. */
export function useActs(
  runs: readonly Standing[],
  onOpen: (runId: string | null) => void,
): { act: OnAct; sheet: ReactNode } {
  const [asked, setAsked] = useState<Asked | null>(null);

  const act: OnAct = (action, stamp) => {
    const run = runs.find(({ id }) => id === action.runId);
    if (!run) return;
    const question = questionOf(action, run, stamp);
    setAsked(question && { what: question, run, action, stamp });
    if (question === null) setAsked({ what: 'early', run, action, stamp });
  };
  void onOpen;
  return { act, sheet: asked && <Question asked={asked} onDone={() => setAsked(null)} /> };
}
