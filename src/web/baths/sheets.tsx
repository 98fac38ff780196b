import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, got, once } from '../api.js';
import type { Bath, NewBath } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Tick } from '../parts/Choice.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { typedNumber } from '../parts/typed-number.js';
import { useReagents } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { type Fill, Fills, fillsOf, filledWhole } from './Fills.js';
import { BATHS } from './words.js';

const words = BATHS.sheet;

/** What every sheet does once its act is kept. */
function useKept(onClose: () => void): (bath: Bath) => Promise<void> {
  const queries = useQueryClient();
  return async ({ label }) => {
    say(words.done(shortLabel(label)));
    onClose();
    await queries.invalidateQueries({ queryKey: ['stock'] });
  };
}

/** A new bath: what stands in it and where, from which bottles, and when it is changed. */
export function MakeUpSheet({ onClose }: { onClose: () => void }) {
  const reagents = useReagents();
  const [reagent, setReagent] = useState('');
  const [fills, setFills] = useState<readonly Fill[]>([]);
  const [place, setPlace] = useState({ station: '', series: '', position: '1' });
  const [rule, setRule] = useState({ maxSlides: '', maxDays: '' });
  const [filter, setFilter] = useState<'none' | 'P0D' | 'P7D'>('none');
  const rules = useQuery({
    queryKey: ['stock', 'bath-rules', reagent],
    queryFn: () => got(api.GET('/api/bath-rules', { params: { query: { reagent } } })),
    enabled: reagent !== '',
  });
  const kept = useKept(onClose);
  const send = useChange((body: NewBath, key) => got(api.POST('/api/baths', { body, ...once(key) })), kept);
  const [slides, days, position] = [rule.maxSlides, rule.maxDays, place.position].map((text) => typedNumber(text)) as [
    number,
    number,
    number,
  ];
  const limits = [rule.maxSlides, rule.maxDays].every(
    (text) => text.trim() === '' || Number.isInteger(typedNumber(text)),
  );
  const whole =
    reagent !== '' &&
    filledWhole(fills) &&
    place.station.trim() !== '' &&
    place.series.trim() !== '' &&
    Number.isInteger(position) &&
    limits;
  return (
    <Sheet title={words.makeUp} onClose={onClose} closeWord={WORDS.cancel}>
      <div className="form">
        <SelectField
          label={words.reagent}
          value={reagent}
          empty={words.pick}
          onChange={setReagent}
          options={(reagents.data ?? [])
            .filter(({ kind }) => kind !== 'water')
            .map(({ code: id, name }) => ({ id, name }))
            .sort((a, b) => a.name.localeCompare(b.name))}
        />
        <Fills
          wanted={(reagents.data ?? []).find(({ code }) => code === reagent) ?? null}
          fills={fills}
          onChange={setFills}
        />
        <div className="fields">
          <Field
            label={words.station}
            help={words.stationHelp}
            value={place.station}
            onChange={(station) => setPlace({ ...place, station })}
            isRequired
          />
          <Field
            label={words.series}
            help={words.seriesHelp}
            value={place.series}
            onChange={(series) => setPlace({ ...place, series })}
            isRequired
          />
          <Field
            label={words.position}
            help={words.positionHelp}
            value={place.position}
            onChange={(next) => setPlace({ ...place, position: next })}
            inputMode="numeric"
            isRequired
          />
        </div>
        {(rules.data ?? []).length > 0 && (
          <details className="bath-rules">
            <summary>{words.rule}</summary>
            <ul className="checks">
              {(rules.data ?? []).map(({ protocol, title, text, maxSlides, maxDays, status }) => (
                <li key={protocol}>
                  <span>
                    <strong>{title}:</strong> {text} <span className="small">({status})</span>
                  </span>
                  {(maxSlides !== undefined || maxDays !== undefined) && (
                    <Button
                      look="quiet"
                      aria-label={`${words.take}: ${title}`}
                      onPress={() => setRule({ maxSlides: String(maxSlides ?? ''), maxDays: String(maxDays ?? '') })}
                    >
                      {words.take}
                    </Button>
                  )}
                </li>
              ))}
            </ul>
          </details>
        )}
        <div className="fields">
          <Field
            label={words.maxSlides}
            help={words.limitHelp}
            value={rule.maxSlides}
            onChange={(maxSlides) => setRule({ ...rule, maxSlides })}
            inputMode="numeric"
          />
          <Field
            label={words.maxDays}
            help={words.limitHelp}
            value={rule.maxDays}
            onChange={(maxDays) => setRule({ ...rule, maxDays })}
            inputMode="numeric"
          />
          <SelectField
            label={words.filter}
            value={filter}
            onChange={setFilter}
            options={(['none', 'P0D', 'P7D'] as const).map((id) => ({ id, name: words.filters[id] }))}
          />
        </div>
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          isDisabled={send.isPending || !whole}
          onPress={() =>
            send.ask({
              reagent,
              fills: fillsOf(fills),
              station: place.station.trim(),
              series: place.series.trim(),
              position,
              ...(!Number.isNaN(slides) && { maxSlides: slides }),
              ...(!Number.isNaN(days) && { maxDays: days }),
              ...(filter !== 'none' && { filterEvery: filter }),
            })
          }
        >
          {send.isPending ? WORDS.sending : words.keep.makeUp}
        </Button>
      </div>
    </Sheet>
  );
}

export function TopUpSheet({ bath, onClose }: { bath: Pick<Bath, 'id' | 'name' | 'reagent'>; onClose: () => void }) {
  const [fills, setFills] = useState<readonly Fill[]>([]);
  const kept = useKept(onClose);
  const send = useChange(
    (body: { fills: NewBath['fills'] }, key) =>
      got(api.POST('/api/baths/{id}/top-up', { params: { path: { id: bath.id } }, body, ...once(key) })),
    kept,
  );
  return (
    <Sheet title={words.topUp(bath.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <div className="form">
        <p>{words.topUpHelp}</p>
        <Fills wanted={{ code: bath.reagent, name: bath.name }} fills={fills} onChange={setFills} />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          isDisabled={send.isPending || !filledWhole(fills)}
          onPress={() => send.ask({ fills: fillsOf(fills) })}
        >
          {send.isPending ? WORDS.sending : words.keep.topUp}
        </Button>
      </div>
    </Sheet>
  );
}

export function MoveSheet({ bath, onClose }: { bath: Bath; onClose: () => void }) {
  const [position, setPosition] = useState(String(Math.max(1, bath.position - 1)));
  const [reason, setReason] = useState('');
  const kept = useKept(onClose);
  const send = useChange(
    (body: { position: number; reason?: string }, key) =>
      got(api.POST('/api/baths/{id}/move', { params: { path: { id: bath.id } }, body, ...once(key) })),
    kept,
  );
  const place = typedNumber(position);
  return (
    <Sheet title={words.move(bath.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <div className="form">
        <p>{words.moveHelp}</p>
        <Field label={words.position} value={position} onChange={setPosition} inputMode="numeric" isRequired />
        <Field label={words.reason} help={WORDS.optional} value={reason} onChange={setReason} />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          isDisabled={send.isPending || !Number.isInteger(place) || place < 1}
          onPress={() => send.ask({ position: place, ...(reason.trim() !== '' && { reason: reason.trim() }) })}
        >
          {send.isPending ? WORDS.sending : words.keep.move}
        </Button>
      </div>
    </Sheet>
  );
}

export function ChangeSheet({ bath, onClose }: { bath: Bath; onClose: () => void }) {
  const [next, setNext] = useState(true);
  const [fills, setFills] = useState<readonly Fill[]>([]);
  const [reason, setReason] = useState('');
  const kept = useKept(onClose);
  const send = useChange(
    (body: { reason?: string; next?: { fills: NewBath['fills'] } }, key) =>
      got(api.POST('/api/baths/{id}/change', { params: { path: { id: bath.id } }, body, ...once(key) })),
    kept,
  );
  return (
    <Sheet title={words.change(bath.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <div className="form">
        <p>{words.changeHelp}</p>
        <Tick on={next} onChange={setNext}>
          {words.next}
        </Tick>
        {next && <Fills wanted={{ code: bath.reagent, name: bath.name }} fills={fills} onChange={setFills} />}
        <Field label={words.reason} help={WORDS.optional} value={reason} onChange={setReason} />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          isDisabled={send.isPending || (next && !filledWhole(fills))}
          onPress={() =>
            send.ask({
              ...(reason.trim() !== '' && { reason: reason.trim() }),
              ...(next && { next: { fills: fillsOf(fills) } }),
            })
          }
        >
          {send.isPending ? WORDS.sending : next ? words.keep.changeNext : words.keep.change}
        </Button>
      </div>
    </Sheet>
  );
}
