import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { plusDays } from '../../core/time/days.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { NewPack } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice, Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { PACKS as words } from './words.js';

type Preset = keyof typeof words.presets;

/** First and last day of a period that has a name. */
function daysOf(preset: Exclude<Preset, 'other'>, today: string): [string, string] {
  const [year, month] = [today.slice(0, 4), today.slice(0, 7)];
  const before = plusDays(`${month}-01`, -1);
  switch (preset) {
    case 'month':
      return [`${month}-01`, today];
    case 'lastMonth':
      return [`${before.slice(0, 7)}-01`, before];
    case 'year':
      return [`${year}-01-01`, today];
    case 'lastYear':
      return [`${Number(year) - 1}-01-01`, `${Number(year) - 1}-12-31`];
  }
}

/** Ids from what was pasted: a run's address ends with its id. */
function idsIn(text: string): string[] {
  const each = text.split(/[\s,]+/).map(
    (part) =>
      part
        .replace(/[?#].*$/, '')
        .split('/')
        .at(-1) ?? '',
  );
  return [...new Set(each.filter((id) => id !== ''))];
}

/** Asks for a pack. */
export function AskSheet({ today, onClose }: { today: string; onClose: () => void }) {
  const queries = useQueryClient();
  const { may } = useSession();
  const reviews = may('reviewer');
  const [preset, setPreset] = useState<Preset>('month');
  const [own, setOwn] = useState<[string, string]>(daysOf('month', today));
  const [identifiers, setIdentifiers] = useState<NonNullable<NewPack['identifiers']>>('masked');
  const [chain, setChain] = useState<NonNullable<NewPack['chain']>>(reviews ? 'period' : 'whole');
  const [protocols, setProtocols] = useState<readonly string[]>([]);
  const [people, setPeople] = useState<readonly string[]>([]);
  const [texts, setTexts] = useState({ lots: '', runs: '', shown: '' });
  const known = useQuery({ queryKey: ['protocols'], queryFn: () => got(api.GET('/api/protocols')) });
  const staff = useQuery({ queryKey: ['people'], queryFn: () => got(api.GET('/api/people')) });
  const [from, to] = preset === 'other' ? own : daysOf(preset, today);
  const send = useChange(
    (body: NewPack, key) => got(api.POST('/api/packs', { body, ...once(key) })),
    async () => {
      say(words.asked);
      await queries.invalidateQueries({ queryKey: ['packs'] });
      onClose();
    },
  );
  const titles = new Map((known.data ?? []).map(({ id, title }) => [id, title]));
  const text = (of: keyof typeof texts, label: string) => (
    <Field
      label={label}
      help={words.addresses}
      lines={2}
      value={texts[of]}
      onChange={(value) => setTexts({ ...texts, [of]: value })}
    />
  );
  return (
    <Sheet title={words.ask} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.askAbout}</p>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          const { lots, runs, shown } = texts;
          send.ask({
            from,
            to,
            identifiers,
            chain,
            protocols: [...protocols],
            people: [...people],
            lots: idsIn(lots),
            runs: idsIn(runs),
            shown: idsIn(shown),
          });
        }}
      >
        <Choice<Preset>
          label={words.period}
          value={preset}
          onChange={setPreset}
          options={Object.entries(words.presets).map(([id, name]) => ({ id: id as Preset, name }))}
        />
        <div className="finder">
          <Field
            label={words.from}
            type="date"
            value={from}
            isReadOnly={preset !== 'other'}
            onChange={(day) => setOwn([day, own[1]])}
            isRequired
          />
          <Field
            label={words.to}
            type="date"
            value={to}
            isReadOnly={preset !== 'other'}
            onChange={(day) => setOwn([own[0], day])}
            isRequired
          />
        </div>
        <Choice
          label={words.identifiers}
          value={identifiers}
          onChange={setIdentifiers}
          options={(['masked', 'left out', 'included'] as const).map((id) => ({
            id,
            ...words.identifiersAre[id],
            off: id === 'included' && !may('director'),
          }))}
        />
        <Choice
          label={words.chain}
          value={chain}
          onChange={setChain}
          options={(['whole', 'period'] as const).map((id) => ({
            id,
            ...words.chainIs[id],
            off: id === 'whole' && reviews,
          }))}
        />
        <details className="pack-limits">
          <summary>{words.runs}</summary>
          <div className="form">
            <p className="small">{words.allRuns}</p>
            <Ticks title={words.protocols} of={titles} chosen={protocols} onChange={setProtocols} />
            <Ticks
              title={words.people}
              of={new Map((staff.data ?? []).map(({ id, name }) => [id, name]))}
              chosen={people}
              onChange={setPeople}
            />
            {text('lots', words.lots)}
            {text('runs', words.onlyRuns)}
            {text('shown', words.shown)}
          </div>
        </details>
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Some of many, each by a tick. */
function Ticks({
  title,
  of,
  chosen,
  onChange,
}: {
  title: string;
  of: ReadonlyMap<string, string>;
  chosen: readonly string[];
  onChange: (ids: readonly string[]) => void;
}) {
  return (
    <fieldset className="pack-ticks">
      <legend>{title}</legend>
      {[...of].map(([id, name]) => (
        <Tick
          key={id}
          on={chosen.includes(id)}
          onChange={(on) => onChange(on ? [...chosen, id] : chosen.filter((each) => each !== id))}
        >
          {name}
        </Tick>
      ))}
    </fieldset>
  );
}
