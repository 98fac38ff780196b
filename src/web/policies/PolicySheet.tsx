import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { easedRules, type TightenedRule } from '../../core/gate/policy.js';
import { api, got, once } from '../api.js';
import type { GateRule, PolicyRevision } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { POLICIES } from './words.js';

const words = POLICIES.sheet;

/** One rule as the form holds it; numbers as they are typed, empty for as published. */
interface Line {
  rule: string;
  weight: 'caution' | 'stop' | '';
  never: boolean;
  numbers: Readonly<Record<string, string>>;
}

/** Signs the next revision of the policy, beginning with what the last one says. */
export function PolicySheet({
  rules,
  last,
  onClose,
}: {
  rules: readonly GateRule[];
  last: PolicyRevision | null;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const [lines, setLines] = useState<readonly Line[]>(() => (last?.rules ?? []).map(lineOf));
  const [chosen, setChosen] = useState('');
  const [day, setDay] = useState('');
  const [reason, setReason] = useState('');
  const [password, setPassword] = useState('');
  const tightened = lines.map(tightenedOf);
  const eases = easedRules({ rules: last?.rules ?? [] }, { rules: tightened });
  const titleOf = (code: string): string => rules.find((rule) => rule.code === code)?.title ?? code;
  const send = useChange(
    (body: { rules: TightenedRule[]; eases: string[] }, key) =>
      got(
        api.POST('/api/policies', {
          body: { ...body, effectiveFrom: day, reason: reason.trim(), password },
          ...once(key),
        }),
      ),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['policies'] });
      await queries.invalidateQueries({ queryKey: ['gate-rules'] });
    },
  );
  const ready = day !== '' && reason.trim() !== '' && password !== '';
  const change = (n: number, part: Partial<Line>): void =>
    setLines(lines.map((line, m) => (m === n ? { ...line, ...part } : line)));
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ rules: tightened, eases });
        }}
      >
        {last && <p className="field-help">{words.begin}</p>}
        {lines.map((line, n) => (
          <fieldset key={line.rule} className="policy-rule">
            <legend>{titleOf(line.rule)}</legend>
            <RuleFields
              line={line}
              rule={rules.find(({ code }) => code === line.rule)}
              onChange={(part) => change(n, part)}
            />
            <Button
              look="quiet"
              aria-label={words.remove(titleOf(line.rule))}
              onPress={() => setLines(lines.filter((_, m) => m !== n))}
            >
              {words.removeShort}
            </Button>
          </fieldset>
        ))}
        <div className="policy-add">
          <SelectField
            label={words.rule}
            value={chosen}
            onChange={setChosen}
            empty={words.choose}
            options={rules
              .filter(({ code }) => !lines.some(({ rule }) => rule === code))
              .map(({ code, title }) => ({ id: code, name: title }))}
          />
          <Button
            isDisabled={chosen === ''}
            onPress={() => {
              setLines([...lines, { rule: chosen, weight: '', never: false, numbers: {} }]);
              setChosen('');
            }}
          >
            {words.add}
          </Button>
        </div>
        {eases.length > 0 && <p role="status">{words.eases(eases.map(titleOf).join(', '))}</p>}
        <Field label={words.from} help={words.fromHelp} type="date" value={day} onChange={setDay} isRequired />
        <Field label={words.reason} lines={2} value={reason} onChange={setReason} maxLength={1000} isRequired />
        <Signing meaning="approval" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** What may be tightened of one rule; what it is already is not offered. */
function RuleFields({
  line,
  rule,
  onChange,
}: {
  line: Line;
  rule: GateRule | undefined;
  onChange: (part: Partial<Line>) => void;
}) {
  if (!rule) return null;
  const heavier = rule.weight === 'stop' ? [] : rule.weight === 'caution' ? (['stop'] as const) : HEAVIER;
  return (
    <>
      {heavier.length > 0 && (
        <SelectField
          label={words.weight}
          value={line.weight === '' ? 'own' : line.weight}
          onChange={(weight) => onChange({ weight: weight === 'own' ? '' : weight })}
          options={[{ id: 'own', name: words.asProgram }, ...heavier.map((id) => ({ id, name: POLICIES.weights[id] }))]}
        />
      )}
      <Tick on={line.never} onChange={(never) => onChange({ never })}>
        {words.never}
      </Tick>
      {rule.limits.map(({ name, title, unit, value, stricter }) => (
        <Field
          key={name}
          label={words.number(
            title,
            POLICIES.units[unit],
            value === null ? POLICIES.unpublished : POLICIES.published(String(value)),
            stricter === 'less' ? words.less : words.more,
          )}
          inputMode="decimal"
          value={line.numbers[name] ?? ''}
          onChange={(text) => onChange({ numbers: { ...line.numbers, [name]: text } })}
        />
      ))}
    </>
  );
}

const HEAVIER = ['caution', 'stop'] as const;

function lineOf({ rule, weight, neverExcused, limits = [] }: TightenedRule): Line {
  return {
    rule,
    weight: weight ?? '',
    never: neverExcused === true,
    numbers: Object.fromEntries(limits.map(({ name, value }) => [name, String(value)])),
  };
}

/** What is sent; text that is no number goes as it cannot be, so that the server says so. */
function tightenedOf({ rule, weight, never, numbers }: Line): TightenedRule {
  const limits = Object.entries(numbers).flatMap(([name, text]) =>
    text.trim() === '' ? [] : [{ name, value: typedNumber(text) }],
  );
  return {
    rule,
    ...(weight !== '' && { weight }),
    ...(never && { neverExcused: true as const }),
    ...(limits.length > 0 && { limits }),
  };
}
