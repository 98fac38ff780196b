import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { paths } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { unitText } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { RESULTS_KEY, type Series, SERIES_KEY, useSeriesList } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.numbers;

type NewValues = paths['/api/control-series/{id}/values']['post']['requestBody']['content']['application/json'];

/** The numbers that a control of a run gives, where there is a series for them; those of pictures come by themselves. */
export function ControlNumbers({ runId, protocol, control }: { runId: string; protocol: string; control: string }) {
  const { data } = useSeriesList();
  const own = data?.items.filter(
    ({ protocolId, requirement, metric }) => protocolId === protocol && requirement === control && metric === null,
  );
  if (!own || own.length === 0) return null;
  return (
    <details>
      <summary>{words.of(own.map(({ title }) => title).join(', '))}</summary>
      <p className="small">{words.about}</p>
      {own.map((series) => (
        <Numbers key={series.code} runId={runId} series={series} />
      ))}
    </details>
  );
}

function Numbers({ runId, series }: { runId: string; series: Series }) {
  const queries = useQueryClient();
  const [texts, setTexts] = useState<Readonly<Record<string, string>>>({});
  const id = series.levels[0]?.id ?? '';
  const add = useChange(
    (body: NewValues, key) =>
      got(api.POST('/api/control-series/{id}/values', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      setTexts({});
      for (const queryKey of [SERIES_KEY, RESULTS_KEY, ['runs']]) await queries.invalidateQueries({ queryKey });
    },
  );
  const given = series.levels.flatMap(({ level }) => {
    const text = (texts[level] ?? '').trim();
    return text === '' ? [] : [{ level, value: typedNumber(text) }];
  });
  const wrong = given.filter(({ value }) => !Number.isFinite(value)).map(({ level }) => level);
  return (
    <div className="form">
      <p>
        <Link href={`/controls/charts/${id}`}>{series.title}</Link>
      </p>
      {series.levels.map(({ level }) => (
        <Field
          key={level}
          label={RESULTS.sheets.valueOf(level, unitText(series.unit))}
          value={texts[level] ?? ''}
          onChange={(text) => setTexts({ ...texts, [level]: text })}
          inputMode="decimal"
          error={wrong.includes(level) ? words.notNumber : undefined}
        />
      ))}
      <div>
        <Button
          isDisabled={given.length === 0 || wrong.length > 0 || add.isPending}
          onPress={() => add.ask({ values: given, runId })}
        >
          {add.isPending ? WORDS.sending : RESULTS.sheets.enter}
        </Button>
      </div>
      <ProblemNote problem={add.error} />
      <div role="status">
        {add.data?.values.map(({ id: valueId, level, value, verdict, fired }) => (
          <p key={valueId} className={verdict === 'reject' ? 'held-note' : 'small'}>
            {words.judged(
              `${level}: ${value} ${unitText(series.unit)}`,
              verdict === null ? RESULTS.charts.unjudged : RESULTS.charts.verdicts[verdict],
              fired.join(', '),
            )}{' '}
            {verdict === 'reject' && words.rejected}
          </p>
        ))}
      </div>
    </div>
  );
}
