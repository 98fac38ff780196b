import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { LIMITS_SOURCES, type LimitsSource, MARKS, type MarkKind } from '../../core/controls/series.js';
import { api, got, once } from '../api.js';
import type { paths } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { unitText } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { figures } from '../parts/numbers.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { type Evaluation, RESULTS_KEY, type Series, SERIES_KEY } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.sheets;

type NewValues = paths['/api/control-series/{id}/values']['post']['requestBody']['content']['application/json'];
type NewLimits = paths['/api/control-series/{id}/limits']['post']['requestBody']['content']['application/json'];

/** Enters the values of all levels that were measured together, and says at once what the rules make of them. */
export function ValuesSheet({ series, id, onClose }: { series: Series; id: string; onClose: () => void }) {
  const queries = useQueryClient();
  const [values, setValues] = useState<Record<string, string>>({});
  const [unit, setUnit] = useState('');
  const add = useChange(
    (body: NewValues, key) =>
      got(api.POST('/api/control-series/{id}/values', { params: { path: { id } }, body, ...once(key) })),
    ({ values: added }) => {
      for (const { level, verdict, fired } of added) {
        say(
          words.judged(
            level,
            verdict === null ? RESULTS.charts.unjudged : RESULTS.charts.verdicts[verdict],
            fired.join(', '),
          ),
        );
      }
      void queries.invalidateQueries({ queryKey: SERIES_KEY });
      void queries.invalidateQueries({ queryKey: RESULTS_KEY });
      onClose();
    },
  );
  const given = series.levels.flatMap(({ level }) => {
    const text = (values[level] ?? '').trim();
    return text === '' ? [] : [{ level, value: typedNumber(text), ...(unit.trim() !== '' && { unit: unit.trim() }) }];
  });
  const wrong = given.filter(({ value }) => !Number.isFinite(value)).map(({ level }) => level);
  return (
    <Sheet title={words.add} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (given.length > 0 && wrong.length === 0) add.ask({ values: given });
        }}
      >
        {series.levels.map(({ level }, n) => (
          <Field
            key={level}
            label={words.valueOf(level, unitText(series.unit))}
            value={values[level] ?? ''}
            error={wrong.includes(level) ? RESULTS.numbers.notNumber : undefined}
            onChange={(value) => setValues({ ...values, [level]: value })}
            inputMode="decimal"
            takesFocus={n === 0}
          />
        ))}
        <Field label={words.unit} value={unit} onChange={setUnit} />
        <ProblemNote problem={add.error} />
        <Button look="main" type="submit" isDisabled={given.length === 0 || wrong.length > 0 || add.isPending}>
          {words.enter}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Marks what happened to the control, after which the rules look no further back. */
export function MarkSheet({ id, onClose }: { id: string; onClose: () => void }) {
  const queries = useQueryClient();
  const [kind, setKind] = useState<MarkKind>('corrective action');
  const [text, setText] = useState('');
  const mark = useChange(
    (body: { kind: MarkKind; text: string }, key) =>
      got(api.POST('/api/control-series/{id}/marks', { params: { path: { id } }, body, ...once(key) })),
    () => {
      void queries.invalidateQueries({ queryKey: SERIES_KEY });
      onClose();
    },
  );
  return (
    <Sheet title={words.mark} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          mark.ask({ kind, text: text.trim() });
        }}
      >
        <SelectField
          label={words.markKind}
          help={words.markKindHelp}
          value={kind}
          onChange={setKind}
          options={MARKS.map((each) => ({ id: each, name: words.marks[each] }))}
        />
        <Field label={words.markText} help={words.markTextHelp} value={text} onChange={setText} isRequired />
        <ProblemNote problem={mark.error} />
        <Button look="main" type="submit" isDisabled={text.trim().length < 3 || mark.isPending}>
          {words.markAction}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Signs limits of one level from values of a period, after showing what they would be. */
export function LimitsSheet({ judged, onClose }: { judged: Evaluation; onClose: () => void }) {
  const { levels } = judged.series;
  const queries = useQueryClient();
  const [levelId, setLevelId] = useState(levels[0]?.id ?? '');
  const [source, setSource] = useState<LimitsSource>('first points');
  const [reason, setReason] = useState('');
  const [password, setPassword] = useState('');
  const level = levels.find(({ id }) => id === levelId)?.level;
  const values = judged.batches.flatMap((batch) => batch.values).filter((value) => value.level === level);
  const [first, last] = [values[0]?.at, values.at(-1)?.at];
  const [from, setFrom] = useState('');
  const since = from === '' ? first : new Date(`${from}T00:00:00`).toISOString();
  const period = since !== undefined && last !== undefined ? { source, from: since, to: last } : null;
  const path = { id: levelId };
  const see = useChange((query: { source: LimitsSource; from: string; to: string }) =>
    got(api.GET('/api/control-series/{id}/limits/proposal', { params: { path, query } })),
  );
  const set = useChange(
    (body: NewLimits, key) =>
      got(api.POST('/api/control-series/{id}/limits', { params: { path }, body, ...once(key) })),
    () => {
      void queries.invalidateQueries({ queryKey: SERIES_KEY });
      onClose();
    },
  );
  return (
    <Sheet title={words.limits} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!period) return;
          // They judge what comes after the values that they were computed from.
          const next = new Date(Date.parse(period.to) + 1).toISOString();
          set.ask({ ...period, since: next, reason: reason.trim(), password });
        }}
      >
        <SelectField
          label={words.level}
          value={levelId}
          onChange={setLevelId}
          options={levels.map(({ id, level: name }) => ({ id, name }))}
        />
        <SelectField
          label={words.source}
          help={words.sourceHelp}
          value={source}
          onChange={setSource}
          options={LIMITS_SOURCES.map((id) => ({ id, name: words.sources[id] }))}
        />
        <Field label={words.fromDay} type="date" value={from} onChange={setFrom} help={words.lastDay} />
        <Button isDisabled={!period || see.isPending} onPress={() => period && see.ask(period)}>
          {words.see}
        </Button>
        {see.data && (
          <div role="status">
            <p>{words.proposal(figures(see.data.mean), figures(see.data.sd), see.data.n)}</p>
            {see.data.provisional && <p className="small">{words.provisional}</p>}
            {see.data.suspect !== null && <p className="held-note">{words.suspect}</p>}
          </div>
        )}
        <ProblemNote problem={see.error} />
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} isRequired />
        <Signing meaning="approval" password={password} onPassword={setPassword} />
        <ProblemNote problem={set.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={!period || reason.trim().length < 3 || password === '' || set.isPending}
        >
          {words.sign}
        </Button>
      </Form>
    </Sheet>
  );
}
