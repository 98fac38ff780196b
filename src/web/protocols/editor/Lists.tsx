import { useState } from 'react';
import { CONTROL_KINDS, CONTROL_TIMES } from '../../../core/protocol/protocol.js';
import { announce } from '../../parts/announce.js';
import { Button } from '../../parts/Button.js';
import { Tick } from '../../parts/Choice.js';
import { Card } from './Card.js';
import {
  type Draft,
  type DraftControl,
  type DraftPoint,
  type DraftStep,
  moved,
  newControl,
  newPoint,
  newStep,
} from './draft.js';
import type { Fault } from './faults.js';
import { ChoiceAt, TextAt } from './fields.js';
import { StepFields } from './StepFields.js';
import { EDITOR } from './words.js';

const words = EDITOR.card;

interface ListProps {
  draft: Draft;
  faults: readonly Fault[];
  onChange: (draft: Draft) => void;
}

/** The steps in their order, each opened to be written. */
export function StepList({ draft, faults, onChange }: ListProps) {
  const [added, setAdded] = useState<string | null>(null);
  const set = (steps: DraftStep[]): void => onChange({ ...draft, steps });
  return (
    <ol className="draft-list">
      {draft.steps.map((step, index) => (
        <Card
          key={step.id}
          id={`draft-steps-${index}`}
          name={words.step(index + 1)}
          line={lineOf(step)}
          faults={faultsAt(faults, 'steps', index)}
          at={index}
          count={draft.steps.length}
          opensAtOnce={step.id === added}
          onMove={(to) => {
            set(moved(draft.steps, index, to));
            announce(words.moved(step.action || words.unnamed, to + 1));
          }}
          onRemove={() => set(draft.steps.toSpliced(index, 1))}
          onAfter={() => {
            const next = newStep(draft.steps);
            setAdded(next.id);
            set(draft.steps.toSpliced(index + 1, 0, next));
          }}
        >
          <StepFields step={step} index={index} onChange={(to) => set(draft.steps.with(index, to))} />
        </Card>
      ))}
    </ol>
  );
}

/** The controls that show that the stain worked. */
export function ControlList({ draft, faults, onChange }: ListProps) {
  const [added, setAdded] = useState<string | null>(null);
  const { controls } = draft;
  const set = (to: DraftControl[]): void => onChange({ ...draft, controls: to });
  return (
    <>
      <ul className="draft-list">
        {controls.map((control, index) => {
          const change = (part: Partial<DraftControl>): void => set(controls.with(index, { ...control, ...part }));
          const at = ['controls', index] as const;
          return (
            <Card
              key={control.id}
              id={`draft-controls-${index}`}
              name={words.control(index + 1)}
              line={`${control.kind}, ${control.when}`}
              faults={faultsAt(faults, 'controls', index)}
              at={index}
              count={controls.length}
              opensAtOnce={control.id === added}
              onMove={(to) => set(moved(controls, index, to))}
              onRemove={() => set(controls.toSpliced(index, 1))}
            >
              <div className="draft-row">
                <ChoiceAt
                  at={[...at, 'kind']}
                  label={EDITOR.control.kind}
                  value={control.kind}
                  onChange={(kind) => change({ kind })}
                  options={CONTROL_KINDS}
                />
                <ChoiceAt
                  at={[...at, 'when']}
                  label={EDITOR.control.when}
                  value={control.when}
                  onChange={(when) => change({ when })}
                  options={CONTROL_TIMES}
                />
              </div>
              <TextAt
                at={[...at, 'material']}
                label={EDITOR.control.material}
                value={control.material}
                onChange={(material) => change({ material })}
              />
              <TextAt
                at={[...at, 'expected']}
                label={EDITOR.control.expected}
                value={control.expected}
                onChange={(expected) => change({ expected })}
              />
              <Tick on={control.required} onChange={(required) => change({ required })}>
                {EDITOR.control.required}
              </Tick>
            </Card>
          );
        })}
      </ul>
      <Button
        onPress={() => {
          const next = newControl(controls);
          setAdded(next.id);
          set([...controls, next]);
        }}
      >
        {words.addControl}
      </Button>
    </>
  );
}

/** Where a result may leave, in the order of the steps. */
export function PointList({ draft, faults, onChange }: ListProps) {
  const [added, setAdded] = useState<string | null>(null);
  const { releasePoints, steps } = draft;
  const set = (to: DraftPoint[]): void => onChange({ ...draft, releasePoints: to });
  return (
    <>
      <ul className="draft-list">
        {releasePoints.map((point, index) => {
          const change = (part: Partial<DraftPoint>): void => set(releasePoints.with(index, { ...point, ...part }));
          const at = ['releasePoints', index] as const;
          return (
            <Card
              key={point.id}
              id={`draft-releasePoints-${index}`}
              name={words.point(index + 1)}
              line={point.title || words.unnamed}
              faults={faultsAt(faults, 'releasePoints', index)}
              at={index}
              count={releasePoints.length}
              opensAtOnce={point.id === added}
              onMove={(to) => set(moved(releasePoints, index, to))}
              onRemove={() => set(releasePoints.toSpliced(index, 1))}
            >
              <TextAt
                at={[...at, 'title']}
                label={EDITOR.point.title}
                value={point.title}
                onChange={(title) => change({ title })}
              />
              <div className="draft-row">
                <ChoiceAt
                  at={[...at, 'of']}
                  label={EDITOR.point.of}
                  value={point.of}
                  onChange={(of) => change({ of })}
                  options={['specimen', 'slide']}
                />
                <ChoiceAt
                  at={[...at, 'after']}
                  label={EDITOR.point.after}
                  value={point.after}
                  onChange={(after) => change({ after })}
                  options={steps.map(({ id }) => id)}
                  nameOf={(id) => steps.find((step) => step.id === id)?.action || words.unnamed}
                />
              </div>
            </Card>
          );
        })}
      </ul>
      <Button
        onPress={() => {
          const next = newPoint(releasePoints, steps);
          setAdded(next.id);
          set([...releasePoints, next]);
        }}
      >
        {words.addPoint}
      </Button>
    </>
  );
}

/** 'Dewax 1, 5 min (2 to 10)' */
function lineOf({ action, time: { min, target, max, unit } }: DraftStep): string {
  const window = min === undefined && max === undefined ? '' : ` (${EDITOR.window(min, max)})`;
  return `${action || words.unnamed}, ${target} ${unit}${window}`;
}

function faultsAt(faults: readonly Fault[], list: string, index: number): number {
  return faults.filter(({ path }) => path[0] === list && path[1] === index).length;
}
