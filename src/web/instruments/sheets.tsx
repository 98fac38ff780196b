import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import {
  INSTRUMENT_ACTS,
  INSTRUMENT_KINDS,
  type InstrumentActKind,
  type InstrumentKind,
} from '../../core/instruments/instrument.js';
import { api, got, once } from '../api.js';
import type { Instrument } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { INSTRUMENTS } from './words.js';

export function AddSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const words = INSTRUMENTS.add;
  const [code, setCode] = useState('');
  const [name, setName] = useState('');
  const [kind, setKind] = useState<InstrumentKind | ''>('');
  const [serial, setSerial] = useState('');
  const [station, setStation] = useState('');
  const [calibrated, setCalibrated] = useState<'yes' | 'no' | null>(null);
  const send = useChange(
    (chosen: { kind: InstrumentKind; calibrated: boolean }, key) =>
      got(
        api.POST('/api/instruments', {
          body: {
            code: code.trim(),
            name: name.trim(),
            ...chosen,
            ...(serial.trim() !== '' && { serial: serial.trim() }),
            ...(station.trim() !== '' && { station: station.trim() }),
          },
          ...once(key),
        }),
      ),
    async (instrument) => {
      say(words.done(instrument.code));
      onClose();
      await queries.invalidateQueries({ queryKey: ['instruments'] });
    },
  );
  const ready = code.trim() !== '' && name.trim() !== '' && kind !== '' && calibrated !== null;
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ kind, calibrated: calibrated === 'yes' });
        }}
      >
        <Field label={words.code} help={words.codeHelp} value={code} onChange={setCode} autoComplete="off" isRequired />
        <Field label={words.name} help={words.nameHelp} value={name} onChange={setName} autoComplete="off" isRequired />
        <SelectField
          label={words.kind}
          empty={words.kindEmpty}
          value={kind}
          onChange={setKind}
          options={INSTRUMENT_KINDS.map((id) => ({ id, name: INSTRUMENTS.kinds[id] }))}
        />
        <Choice
          label={words.calibrated}
          help={words.calibratedHelp}
          options={[
            { id: 'yes', name: words.yes },
            { id: 'no', name: words.no },
          ]}
          value={calibrated}
          onChange={setCalibrated}
        />
        <Field label={words.station} help={words.stationHelp} value={station} onChange={setStation} />
        <Field label={words.serial} help={WORDS.optional} value={serial} onChange={setSerial} autoComplete="off" />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

export function ActSheet({ instrument, onClose }: { instrument: Instrument; onClose: () => void }) {
  const queries = useQueryClient();
  const words = INSTRUMENTS.act;
  const [kind, setKind] = useState<InstrumentActKind | null>(null);
  const [result, setResult] = useState<'passed' | 'failed' | null>(null);
  const [lastDay, setLastDay] = useState('');
  const [station, setStation] = useState('');
  const [note, setNote] = useState('');
  const checked = kind === 'calibrated' || kind === 'serviced';
  const send = useChange(
    (chosen: InstrumentActKind, key) =>
      got(
        api.POST('/api/instruments/{id}/acts', {
          params: { path: { id: instrument.id } },
          body: {
            kind: chosen,
            note: note.trim(),
            ...(checked && { passed: result === 'passed' }),
            ...(checked && result === 'passed' && lastDay !== '' && { lastDay }),
            ...(chosen === 'moved' && { station: station.trim() }),
          },
          ...once(key),
        }),
      ),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['instruments'] });
    },
  );
  const ready =
    kind !== null &&
    note.trim() !== '' &&
    (!checked || result === 'failed' || (result === 'passed' && lastDay !== '')) &&
    (kind !== 'moved' || station.trim() !== '');
  return (
    <Sheet title={words.title(instrument.code)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask(kind);
        }}
      >
        <Choice
          label={words.kind}
          options={INSTRUMENT_ACTS.map((id) => ({ id, ...words.kinds[id] }))}
          value={kind}
          onChange={setKind}
        />
        {checked && (
          <Choice
            label={words.result}
            options={[
              { id: 'passed', name: words.passed },
              { id: 'failed', name: words.failed },
            ]}
            value={result}
            onChange={setResult}
          />
        )}
        {checked && result === 'passed' && (
          <Field
            label={words.lastDay}
            help={words.lastDayHelp}
            type="date"
            value={lastDay}
            onChange={setLastDay}
            isRequired
          />
        )}
        {kind === 'moved' && (
          <Field label={words.station} help={words.stationHelp} value={station} onChange={setStation} isRequired />
        )}
        <Field label={words.note} help={words.noteHelp} lines={2} value={note} onChange={setNote} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
