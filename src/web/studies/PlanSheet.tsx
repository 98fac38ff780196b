import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { StudyKind } from '../../core/study/acceptance.js';
import { navigate } from '../app/router.js';
import { api, got, once } from '../api.js';
import type { DesignGoal, Lot, NewStudy } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asWords } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import './studies.css';
import { STUDIES } from './words.js';

const words = STUDIES.sheet;

/** What is typed, as text until it is sent. */
const EMPTY = {
  measurand: '',
  unit: '1',
  metric: '',
  categories: '0, 1+, 2+, 3+',
  claim: '0.9',
  disagreeing: '0',
  margin: '',
  sd: '',
  pairs: '',
  reason: '',
  agreement: '0.9',
  lowerLimit: '',
  kappa: '',
  low: '',
  high: '',
};

/** Plans a comparison: lots, scale, number of pairs with its reason, criteria. */
export function PlanSheet({ lots, lot, onClose }: { lots: readonly Lot[]; lot: Lot | null; onClose: () => void }) {
  const queries = useQueryClient();
  const { name } = useCatalogue();
  const [lotId, setLotId] = useState(lot?.id ?? '');
  const [oldLotId, setOldLotId] = useState('');
  const [protocolId, setProtocolId] = useState('');
  const [kind, setKind] = useState<StudyKind>('qualitative');
  const [typed, setTyped] = useState(EMPTY);
  const [from, setFrom] = useState<DesignGoal | null>(null);
  const protocols = useQuery({ queryKey: ['protocols'], queryFn: () => got(api.GET('/api/protocols')) });
  const fresh = lots.find(({ id }) => id === lotId);
  const others = lots.filter(
    ({ id, reagent, standing }) => fresh && id !== lotId && reagent === fresh.reagent && standing === 'accepted',
  );
  const named = (each: Lot) => ({ id: each.id, name: `${name(each.reagent)}, ${each.number}` });
  const size = useChange(
    (body: DesignGoal) => got(api.POST('/api/studies/size', { body })),
    ({ pairs }, goal) => {
      setFrom(goal);
      setTyped((before) => ({ ...before, pairs: String(pairs) }));
    },
  );
  const send = useChange(
    (body: NewStudy, key) => got(api.POST('/api/studies', { body, ...once(key) })),
    async ({ id }) => {
      say(words.done);
      await queries.invalidateQueries({ queryKey: ['studies'] });
      navigate(`/controls/lots/${id}`);
    },
  );
  const field = (key: keyof typeof EMPTY, label: string, more: { help?: string; number?: true } = {}) => (
    <Field
      label={label}
      {...(more.help !== undefined && { help: more.help })}
      {...(more.number && { inputMode: 'decimal' as const })}
      value={typed[key]}
      onChange={(text) => setTyped((before) => ({ ...before, [key]: text }))}
      autoComplete="off"
    />
  );
  const goal: DesignGoal =
    kind === 'numeric'
      ? { question: 'equivalence', margin: Number(typed.margin), sd: Number(typed.sd), power: 0.9 }
      : {
          question: 'agreement',
          claim: Number(typed.claim),
          confidence: 0.95,
          disagreeing: Number(typed.disagreeing),
        };
  const optional = (key: 'lowerLimit' | 'kappa') => (typed[key].trim() === '' ? {} : { [key]: Number(typed[key]) });
  const pairs = Number(typed.pairs);
  const whole = fresh && oldLotId !== '' && protocolId !== '' && typed.measurand.trim() !== '' && pairs >= 3;
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!whole || typed.reason.trim() === '') return;
          send.ask({
            lotId,
            oldLotId,
            protocolId,
            kind,
            measurand: typed.measurand.trim(),
            ...(kind === 'numeric' && {
              unit: typed.unit.trim(),
              ...(typed.metric.trim() !== '' && { metric: typed.metric.trim() }),
            }),
            ...(kind === 'ordinal' && { categories: typed.categories.split(',').map((each) => each.trim()) }),
            design: { pairs, reason: typed.reason.trim(), ...(from && { from }) },
            criteria:
              kind === 'numeric'
                ? { low: Number(typed.low), high: Number(typed.high) }
                : { agreement: Number(typed.agreement), ...optional('lowerLimit'), ...optional('kappa') },
          });
        }}
      >
        <SelectField
          label={words.lot}
          value={lotId}
          onChange={(id) => {
            setLotId(id);
            setOldLotId('');
          }}
          options={lots.filter(({ standing }) => standing === 'quarantined').map(named)}
          empty={words.pick}
        />
        <SelectField
          label={words.old}
          help={fresh && others.length === 0 ? words.none : words.oldHelp}
          value={oldLotId}
          onChange={setOldLotId}
          options={others.map(named)}
          empty={words.pick}
        />
        <SelectField
          label={words.protocol}
          value={protocolId}
          onChange={setProtocolId}
          options={(protocols.data ?? []).map(({ id }) => ({ id, name: asWords(id) }))}
          empty={words.pick}
        />
        <Choice
          label={words.kind}
          options={(['qualitative', 'ordinal', 'numeric'] as const).map((id) => ({ id, ...STUDIES.kinds[id] }))}
          value={kind}
          onChange={(id) => {
            setKind(id);
            setFrom(null);
          }}
        />
        {field('measurand', words.measurand, { help: words.measurandHelp })}
        {kind === 'ordinal' && field('categories', words.categories, { help: words.categoriesHelp })}
        {kind === 'numeric' && field('unit', words.unit, { help: words.unitHelp })}
        {kind === 'numeric' && field('metric', words.metric, { help: words.metricHelp })}
        <fieldset className="study-group">
          <legend>{words.size}</legend>
          <p className="small">{words.sizeHelp}</p>
          {kind === 'numeric'
            ? field('margin', words.margin, { number: true, help: words.marginHelp })
            : field('claim', words.claim, { number: true, help: words.claimHelp })}
          {kind === 'numeric'
            ? field('sd', words.sd, { number: true, help: words.sdHelp })
            : field('disagreeing', words.disagreeing, { number: true })}
          <Button onPress={() => size.ask(goal)} isDisabled={size.isPending}>
            {words.reckon}
          </Button>
          <ProblemNote problem={size.error} />
          {field('pairs', words.pairs, { number: true })}
          {field('reason', words.reason, { help: words.reasonHelp })}
        </fieldset>
        <fieldset className="study-group">
          <legend>{words.criteria}</legend>
          {kind === 'numeric' ? (
            <>
              {field('low', words.low, { number: true, help: words.lowHelp })}
              {field('high', words.high, { number: true })}
            </>
          ) : (
            <>
              {field('agreement', words.agreement, { number: true, help: words.agreementHelp })}
              {field('lowerLimit', words.lowerLimit, { number: true, help: WORDS.optional })}
              {field('kappa', words.kappa, { number: true, help: WORDS.optional })}
            </>
          )}
        </fieldset>
        <p>{words.fixed}</p>
        <ProblemNote problem={send.error} />
        <Button type="submit" look="main" isDisabled={!whole || typed.reason.trim() === '' || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
