import { TIME_UNITS, type TimeUnit } from '../../../core/protocol/protocol.js';
import { useCatalogue } from '../../bench/bench.js';
import { Tick } from '../../parts/Choice.js';
import { degreesText } from '../protocols.js';
import { PROTOCOLS } from '../words.js';
import { type DraftStep, OWN, withKey } from './draft.js';
import { ChoiceAt, NumberAt, TextAt } from './fields.js';
import { EDITOR } from './words.js';

const words = EDITOR.step;
const NONE = '';

/** Everything that one step says; what a step may leave out is opened by a tick. */
export function StepFields({
  step,
  index,
  onChange,
}: {
  step: DraftStep;
  index: number;
  onChange: (step: DraftStep) => void;
}) {
  const { name, reagents } = useCatalogue();
  const at = ['steps', index] as const;
  const { time, handsOn, gap, temperature, takes, concentration } = step;
  const setText = (key: 'agitation' | 'note') => (text: string) =>
    onChange(withKey(step, key, text === '' ? undefined : text));
  const times = (key: 'min' | 'max') => (value: number | string | undefined) =>
    onChange({ ...step, time: withKey(time, key, value) });
  return (
    <>
      <TextAt
        at={[...at, 'action']}
        label={words.action}
        help={words.actionHelp}
        value={step.action}
        onChange={(action) => onChange({ ...step, action })}
      />
      <div className="draft-row">
        <ChoiceAt
          at={[...at, 'reagent']}
          label={PROTOCOLS.page.reagent}
          value={step.reagent ?? NONE}
          onChange={(code) => onChange(withKey(step, 'reagent', code === NONE ? undefined : code))}
          options={[NONE, ...reagents.map(({ code }) => code)]}
          nameOf={(code) => (code === NONE ? words.noReagent : name(code))}
        />
        <TextAt
          at={[...at, 'vessel']}
          label={words.vessel}
          value={step.vessel}
          onChange={(vessel) => onChange({ ...step, vessel })}
        />
      </div>
      <fieldset className="draft-row">
        <legend>{words.time}</legend>
        <NumberAt at={[...at, 'time', 'min']} label={words.least} value={time.min} onChange={times('min')} />
        <NumberAt
          at={[...at, 'time', 'target']}
          label={PROTOCOLS.page.target}
          value={time.target}
          onChange={(target) => onChange({ ...step, time: { ...time, target: target ?? '' } })}
        />
        <NumberAt at={[...at, 'time', 'max']} label={words.most} value={time.max} onChange={times('max')} />
        <UnitAt
          at={[...at, 'time', 'unit']}
          value={time.unit}
          onChange={(unit) => onChange({ ...step, time: { ...time, unit } })}
        />
      </fieldset>
      <p className="small">{words.timeHelp}</p>
      <div className="draft-row">
        <ChoiceAt
          at={[...at, 'end']}
          label={PROTOCOLS.page.end}
          value={step.end}
          onChange={(end) => onChange({ ...step, end })}
          options={['clock', 'eye']}
          nameOf={(end) => (end === 'eye' ? PROTOCOLS.page.byEye : PROTOCOLS.page.byClock)}
        />
        <NumberAt
          at={[...at, 'handsOn', 'start']}
          label={words.handsStart}
          value={handsOn.start}
          onChange={(start) => onChange({ ...step, handsOn: { ...handsOn, start: start ?? '' } })}
        />
        <NumberAt
          at={[...at, 'handsOn', 'end']}
          label={words.handsEnd}
          value={handsOn.end}
          onChange={(end) => onChange({ ...step, handsOn: { ...handsOn, end: end ?? '' } })}
        />
        <NumberAt
          at={[...at, 'dips']}
          label={words.dips}
          value={step.dips}
          onChange={(dips) => onChange(withKey(step, 'dips', dips))}
        />
      </div>
      <div className="draft-ticks">
        <Tick on={step.critical} onChange={(critical) => onChange({ ...step, critical })}>
          {words.critical}
        </Tick>
        <Tick on={step.optional === true} onChange={(on) => onChange(withKey(step, 'optional', on ? true : undefined))}>
          {words.optional}
        </Tick>
        <Tick
          on={gap !== undefined}
          onChange={(on) =>
            onChange(withKey(step, 'gap', on ? { max: '', unit: 's', status: OWN, why: '' } : undefined))
          }
        >
          {words.gap}
        </Tick>
        <Tick
          on={temperature !== undefined}
          onChange={(on) =>
            onChange(withKey(step, 'temperature', on ? { target: '', unit: 'Cel', status: OWN } : undefined))
          }
        >
          {words.temperature}
        </Tick>
        <Tick
          on={concentration !== undefined}
          onChange={(on) => onChange(withKey(step, 'concentration', on ? { text: '', status: OWN } : undefined))}
        >
          {words.concentration}
        </Tick>
        <Tick
          on={takes !== undefined}
          onChange={(on) =>
            onChange(withKey(step, 'takes', on ? { amount: '', unit: 'mL', per: 'run', status: OWN } : undefined))
          }
        >
          {words.takes}
        </Tick>
      </div>
      {gap && (
        <fieldset className="draft-row">
          <legend>{words.gapBefore}</legend>
          <NumberAt
            at={[...at, 'gap', 'max']}
            label={words.most}
            value={gap.max}
            onChange={(max) => onChange({ ...step, gap: { ...gap, max: max ?? '' } })}
          />
          <UnitAt
            at={[...at, 'gap', 'unit']}
            value={gap.unit}
            onChange={(unit) => onChange({ ...step, gap: { ...gap, unit } })}
          />
          <TextAt
            at={[...at, 'gap', 'why']}
            label={words.why}
            value={gap.why}
            onChange={(why) => onChange({ ...step, gap: { ...gap, why } })}
          />
        </fieldset>
      )}
      {temperature && (
        <fieldset className="draft-row">
          <legend>{PROTOCOLS.page.temperature}</legend>
          {(['min', 'target', 'max'] as const).map((key) => (
            <NumberAt
              key={key}
              at={[...at, 'temperature', key]}
              label={{ min: words.least, target: PROTOCOLS.page.target, max: words.most }[key]}
              value={temperature[key]}
              onChange={(value) =>
                onChange({
                  ...step,
                  temperature:
                    key === 'target' ? { ...temperature, target: value ?? '' } : withKey(temperature, key, value),
                })
              }
            />
          ))}
          <ChoiceAt
            at={[...at, 'temperature', 'unit']}
            label={words.unit}
            value={temperature.unit}
            onChange={(unit) => onChange({ ...step, temperature: { ...temperature, unit } })}
            options={['Cel', '[degF]', 'K']}
            nameOf={degreesText}
          />
          <Tick
            on={temperature.record === true}
            onChange={(on) => onChange({ ...step, temperature: withKey(temperature, 'record', on ? true : undefined) })}
          >
            {words.record}
          </Tick>
        </fieldset>
      )}
      {concentration && (
        <TextAt
          at={[...at, 'concentration', 'text']}
          label={words.concentrationText}
          value={concentration.text}
          // A value that no longer belongs to the words would be wrong.
          onChange={(text) => onChange({ ...step, concentration: { text, status: concentration.status } })}
        />
      )}
      {takes && (
        <fieldset className="draft-row">
          <legend>{words.takes}</legend>
          <NumberAt
            at={[...at, 'takes', 'amount']}
            label={words.amount}
            value={takes.amount}
            onChange={(amount) => onChange({ ...step, takes: { ...takes, amount: amount ?? '' } })}
          />
          <TextAt
            at={[...at, 'takes', 'unit']}
            label={words.unit}
            help={words.ucum}
            value={takes.unit}
            onChange={(unit) => onChange({ ...step, takes: { ...takes, unit } })}
          />
          <ChoiceAt
            at={[...at, 'takes', 'per']}
            label={words.per}
            value={takes.per}
            onChange={(per) => onChange({ ...step, takes: { ...takes, per } })}
            options={['run', 'slide']}
          />
        </fieldset>
      )}
      <TextAt
        at={[...at, 'agitation']}
        label={words.agitation}
        value={step.agitation ?? ''}
        onChange={setText('agitation')}
      />
      <TextAt at={[...at, 'note']} label={words.note} value={step.note ?? ''} onChange={setText('note')} lines={2} />
    </>
  );
}

function UnitAt({
  at,
  value,
  onChange,
}: {
  at: readonly (string | number)[];
  value: TimeUnit;
  onChange: (unit: TimeUnit) => void;
}) {
  return <ChoiceAt at={at} label={words.unit} value={value} onChange={onChange} options={TIME_UNITS} />;
}
