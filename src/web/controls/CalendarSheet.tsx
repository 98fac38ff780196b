import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { LaboratoryCalendar } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { CONTROLS_KEY, useCalendar } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.calendar;
const USUAL = { from: '08:00', to: '18:00' };

/** When the laboratory is open, by weekday, and its holidays. */
export function CalendarSheet({ onClose }: { onClose: () => void }) {
  const { data, error, refetch } = useCalendar();
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.about}</p>
      {data ? <Hours calendar={data} onClose={onClose} /> : <Waiting error={error} onRetry={() => void refetch()} />}
    </Sheet>
  );
}

function Hours({ calendar, onClose }: { calendar: LaboratoryCalendar; onClose: () => void }) {
  const queries = useQueryClient();
  const [weekdays, setWeekdays] = useState(calendar.weekdays);
  const [lines, setLines] = useState(calendar.holidays.map(({ day, name }) => `${day} ${name}`).join('\n'));
  const send = useChange(
    (body: LaboratoryCalendar, key) => got(api.POST('/api/laboratory-calendar', { body, ...once(key) })),
    () => {
      say(words.saved);
      void queries.invalidateQueries({ queryKey: [CONTROLS_KEY] });
      onClose();
    },
  );
  const written = lines
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '');
  const wrong = written.find((line) => !/^\d{4}-\d\d-\d\d \S/.test(line));
  const set = (n: number, open: LaboratoryCalendar['weekdays'][number]): void =>
    setWeekdays(weekdays.map((each, place) => (place === n ? open : each)));
  return (
    <Form
      className="form"
      onSubmit={(event) => {
        event.preventDefault();
        const holidays = written.map((line) => ({ day: line.slice(0, 10), name: line.slice(11).trim() }));
        send.ask({ weekdays, holidays });
      }}
    >
      <ul className="weekdays">
        {words.weekdays.map((day, n) => {
          const open = weekdays[n]?.open;
          return (
            <li key={day} className="weekday">
              <Tick on={open !== undefined} onChange={(on) => set(n, on ? { open: USUAL } : {})}>
                {words.open(day)}
              </Tick>
              {open && (
                <>
                  <Field
                    label={words.opens(day)}
                    value={open.from}
                    onChange={(from) => set(n, { open: { ...open, from } })}
                    autoComplete="off"
                  />
                  <Field
                    label={words.closes(day)}
                    value={open.to}
                    onChange={(to) => set(n, { open: { ...open, to } })}
                    autoComplete="off"
                  />
                </>
              )}
            </li>
          );
        })}
      </ul>
      <p className="small">{words.closesHelp}</p>
      <Field
        label={words.holidays}
        help={words.holidaysHelp}
        value={lines}
        onChange={setLines}
        lines={5}
        {...(wrong !== undefined && { error: words.badHoliday(wrong) })}
      />
      <ProblemNote problem={send.error} />
      <Button look="main" type="submit" isDisabled={send.isPending || wrong !== undefined}>
        {send.isPending ? WORDS.sending : words.save}
      </Button>
    </Form>
  );
}
