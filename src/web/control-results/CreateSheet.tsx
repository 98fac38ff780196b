import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { type Rule, RULES, usualWeights } from '../../core/controls/rules.js';
import { RUIFROK_JOHNSTON } from '../../core/stain-image/deconvolution.js';
import { metricsOf } from '../../core/stain-image/measure.js';
import { api, got, once } from '../api.js';
import type { paths } from '../api.paths.js';
import { planQuery } from '../controls/queries.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asWords, codeOf } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { navigate } from '../app/router.js';
import { metricWords } from '../pictures/words.js';
import { WORDS } from '../words.js';
import { SERIES_KEY } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.sheets;

type NewSeries = paths['/api/control-series']['post']['requestBody']['content']['application/json'];

/** The multirule of 1981 for one or two levels. */
const USUAL: readonly Rule[] = ['1-2s', '1-3s', '2-2s', 'R-4s', '4-1s', '10x'];
const NO_PROTOCOL = '-';

/** What pictures are measured for here, each once, though both ways of lighting know some. */
const METRICS = new Set([
  ...metricsOf({ kind: 'brightfield', stains: RUIFROK_JOHNSTON }),
  ...metricsOf({ kind: 'fluorescence', band: 0, darkOffset: 0 }),
]);
const NO_METRIC = '-';

/** Sets up a series: what it measures, whose control it judges, and by which rules. */
export function CreateSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const protocols = useQuery({ queryKey: ['protocols'], queryFn: () => got(api.GET('/api/protocols')) });
  const [title, setTitle] = useState('');
  const [code, setCode] = useState('');
  const [unit, setUnit] = useState('{ratio}');
  const [levels, setLevels] = useState('control');
  const [revisionId, setRevisionId] = useState(NO_PROTOCOL);
  const [requirement, setRequirement] = useState('');
  const [metric, setMetric] = useState(NO_METRIC);
  const [rules, setRules] = useState<ReadonlySet<Rule>>(new Set(USUAL));
  const revision = useQuery({
    queryKey: ['protocols', revisionId],
    queryFn: () => got(api.GET('/api/revisions/{id}', { params: { path: { id: revisionId } } })),
    enabled: revisionId !== NO_PROTOCOL,
  });
  const create = useChange(
    (body: NewSeries, key) => got(api.POST('/api/control-series', { body, ...once(key) })),
    (series) => {
      void queries.invalidateQueries({ queryKey: SERIES_KEY });
      navigate(`/controls/charts/${series.levels[0]?.id ?? ''}`);
    },
  );
  const protocolId = revision.data?.content.id;
  const plan = useQuery({ ...planQuery(protocolId ?? ''), enabled: protocolId !== undefined });
  const asked = [...(revision.data?.content.controls ?? []), ...(plan.data?.counting.controls ?? [])];
  const controls = [...new Map(asked.map(({ id }) => [id, { id }])).values()];
  const own = code === '' ? codeOf(title) : code;
  return (
    <Sheet title={words.create} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          const weights = usualWeights([...rules]);
          create.ask({
            code: own,
            title: title.trim(),
            unit: unit.trim(),
            levels: levels
              .split(',')
              .map((level) => level.trim())
              .filter((level) => level !== ''),
            rules: [...rules].map((rule) => ({ rule, weight: weights[rule] ?? 'reject' })),
            ...(metric !== NO_METRIC && { metric }),
            ...(protocolId !== undefined && { protocolId, requirement: requirement || (controls[0]?.id ?? '') }),
          });
        }}
      >
        <Field label={words.title} help={words.titleHelp} value={title} onChange={setTitle} takesFocus isRequired />
        <Field label={words.code} value={own} onChange={setCode} isRequired />
        <Field label={words.unitOfSeries} help={words.unitOfSeriesHelp} value={unit} onChange={setUnit} isRequired />
        <Field label={words.levels} help={words.levelsHelp} value={levels} onChange={setLevels} isRequired />
        <SelectField
          label={words.protocol}
          value={revisionId}
          onChange={setRevisionId}
          options={[
            { id: NO_PROTOCOL, name: words.noProtocol },
            ...(protocols.data ?? []).flatMap(({ title: name, revisions }) => {
              const id = revisions.at(-1)?.id;
              return id === undefined ? [] : [{ id, name }];
            }),
          ]}
        />
        {controls.length > 0 && (
          <SelectField
            label={words.requirement}
            value={requirement || (controls[0]?.id ?? '')}
            onChange={setRequirement}
            options={controls.map(({ id }) => ({ id, name: asWords(id) }))}
          />
        )}
        <SelectField
          label={words.metric}
          help={words.metricHelp}
          value={metric}
          onChange={setMetric}
          options={[
            { id: NO_METRIC, name: words.noMetric },
            ...[...METRICS].map((id) => ({ id, name: metricWords(id) })),
          ]}
        />
        <fieldset className="whose">
          <legend>{words.rules}</legend>
          {RULES.map((rule) => (
            <Tick
              key={rule}
              on={rules.has(rule)}
              onChange={(on) => setRules(new Set(on ? [...rules, rule] : [...rules].filter((each) => each !== rule)))}
            >
              {rule}, {RESULTS.charts.weights[usualWeights([rule])[rule] ?? 'reject']}
            </Tick>
          ))}
        </fieldset>
        <ProblemNote problem={create.error} />
        <Button look="main" type="submit" isDisabled={title.trim() === '' || create.isPending}>
          {words.createAction}
        </Button>
      </Form>
    </Sheet>
  );
}
