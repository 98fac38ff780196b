import { CONTROL_KINDS, CONTROL_TIMES } from '../../../core/protocol/protocol.js';
import { Tick } from '../../parts/Choice.js';
import { CardList } from './CardList.js';
import { type Draft, type DraftStep, newControl, newPoint, newStep, withKey } from './draft.js';
import type { Fault } from './faults.js';
import { ChoiceAt, KeysAt, TextAt } from './fields.js';
import { StepFields } from './StepFields.js';
import { EDITOR } from './words.js';

const words = EDITOR.card;

export interface ListProps {
  draft: Draft;
  faults: readonly Fault[];
  onChange: (draft: Draft) => void;
}

/** The steps in their order, each opened to be written. */
export function StepList({ draft, faults, onChange }: ListProps) {
  return (
    <CardList
      list="steps"
      items={draft.steps}
      faults={faults}
      nameOf={words.step}
      lineOf={lineOf}
      onChange={(steps) => onChange({ ...draft, steps })}
      fresh={() => newStep(draft.steps)}
      least={1}
      fields={(step, [, index], change) => <StepFields step={step} index={index} onChange={change} />}
    />
  );
}

/** The controls that show that the stain worked. */
export function ControlList({ draft, faults, onChange }: ListProps) {
  return (
    <CardList
      list="controls"
      items={draft.controls}
      faults={faults}
      nameOf={words.control}
      lineOf={({ kind, when }) => `${kind}, ${when}`}
      onChange={(controls) => onChange({ ...draft, controls })}
      fresh={() => newControl(draft.controls)}
      addWord={words.addControl}
      fields={(control, at, change) => (
        <>
          <div className="draft-row">
            <ChoiceAt
              at={[...at, 'kind']}
              label={EDITOR.control.kind}
              value={control.kind}
              onChange={(kind) => change({ ...control, kind })}
              options={CONTROL_KINDS}
            />
            <ChoiceAt
              at={[...at, 'when']}
              label={EDITOR.control.when}
              value={control.when}
              onChange={(when) => change({ ...control, when })}
              options={CONTROL_TIMES}
            />
          </div>
          <TextAt
            at={[...at, 'material']}
            label={EDITOR.control.material}
            value={control.material}
            onChange={(material) => change({ ...control, material })}
          />
          <TextAt
            at={[...at, 'expected']}
            label={EDITOR.control.expected}
            value={control.expected}
            onChange={(expected) => change({ ...control, expected })}
          />
          <Tick on={control.required} onChange={(required) => change({ ...control, required })}>
            {EDITOR.control.required}
          </Tick>
        </>
      )}
    />
  );
}

/** Where a result may leave, in the order of the steps. */
export function PointList({ draft, faults, onChange }: ListProps) {
  const { releasePoints, steps } = draft;
  return (
    <CardList
      list="releasePoints"
      items={releasePoints}
      faults={faults}
      nameOf={words.point}
      lineOf={({ title }) => title || words.unnamed}
      onChange={(to) => onChange({ ...draft, releasePoints: to })}
      fresh={() => newPoint(releasePoints, steps)}
      addWord={words.addPoint}
      least={1}
      fields={(point, at, change) => (
        <>
          <TextAt
            at={[...at, 'title']}
            label={EDITOR.point.title}
            value={point.title}
            onChange={(title) => change({ ...point, title })}
          />
          <div className="draft-row">
            <ChoiceAt
              at={[...at, 'of']}
              label={EDITOR.point.of}
              value={point.of}
              onChange={(of) => change({ ...point, of })}
              options={['specimen', 'slide']}
            />
            <ChoiceAt
              at={[...at, 'after']}
              label={EDITOR.point.after}
              value={point.after}
              onChange={(after) => change({ ...point, after })}
              options={steps.map(({ id }) => id)}
              nameOf={(id) => steps.find((step) => step.id === id)?.action || words.unnamed}
            />
          </div>
        </>
      )}
    />
  );
}

/** What harms the hands that do it, by the classes of the GHS. */
export function CautionList({ draft, faults, onChange }: ListProps) {
  return (
    <CardList
      list="cautions"
      items={draft.cautions}
      faults={faults}
      nameOf={words.caution}
      lineOf={({ agent, codes }) => [agent || words.unnamed, ...codes].join(', ')}
      onChange={(cautions) => onChange({ ...draft, cautions })}
      fresh={() => ({ agent: '', codes: [], signal: 'Warning' as const, source: '' })}
      addWord={words.addCaution}
      fields={(caution, at, change) => (
        <>
          <TextAt
            at={[...at, 'agent']}
            label={EDITOR.caution.agent}
            value={caution.agent}
            onChange={(agent) => change({ ...caution, agent })}
          />
          <div className="draft-row">
            <ChoiceAt
              at={[...at, 'signal']}
              label={EDITOR.caution.signal}
              value={caution.signal}
              onChange={(signal) => change({ ...caution, signal })}
              options={['Danger', 'Warning', 'none']}
            />
            <KeysAt
              at={[...at, 'codes']}
              label={EDITOR.caution.codes}
              help={EDITOR.caution.codesHelp}
              value={caution.codes}
              onChange={(codes) => change({ ...caution, codes })}
            />
            <TextAt
              at={[...at, 'source']}
              label={EDITOR.caution.source}
              help={EDITOR.caution.sourceHelp}
              value={caution.source}
              onChange={(source) => change({ ...caution, source })}
            />
          </div>
          <TextAt
            at={[...at, 'advice']}
            label={EDITOR.caution.advice}
            help={EDITOR.caution.adviceHelp}
            value={caution.advice ?? ''}
            onChange={(advice) => change(withKey(caution, 'advice', advice || undefined))}
            lines={2}
          />
        </>
      )}
    />
  );
}

/** 'Dewax 1, 5 min (2 to 10)' */
function lineOf({ action, time: { min, target, max, unit } }: DraftStep): string {
  const window = min === undefined && max === undefined ? '' : ` (${EDITOR.window(min, max)})`;
  return `${action || words.unnamed}, ${target} ${unit}${window}`;
}
