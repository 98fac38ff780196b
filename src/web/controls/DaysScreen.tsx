import { useParam } from '../app/router.js';
import type { ProtocolDays } from '../api.paths.js';
import { plusDays } from '../../core/time/days.js';
import { Field } from '../parts/Field.js';
import { Finder } from '../parts/Finder.js';
import { LOCALE } from '../parts/locale.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import './controls.css';
import { useDaysWithout, useTasks } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.days;

/** For the reviewer: days of use by protocol, and which of them went without a control. */
export default function DaysScreen() {
  const { data: today } = useTasks();
  const [asked, setFrom] = useParam('from');
  const [until, setTo] = useParam('to');
  const [view, setView] = useParam('view');
  const to = until ?? today?.day ?? '';
  const from = asked ?? (today ? plusDays(today.day, -60) : '');
  const { data, error, refetch } = useDaysWithout(from, to);
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <Finder found={data?.protocols.length}>
        <Field label={words.from} type="date" value={from} onChange={setFrom} />
        <Field label={words.to} type="date" value={to} onChange={setTo} />
        <SelectField<keyof typeof words.views>
          label={words.view}
          value={view === 'table' ? 'table' : 'calendar'}
          onChange={(id) => setView(id === 'calendar' ? null : id)}
          options={[
            { id: 'calendar', name: words.views.calendar },
            { id: 'table', name: words.views.table },
          ]}
        />
      </Finder>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.protocols.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/runs/new', word: WORDS.begin.run }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data?.protocols.map((protocol) => (
        <Part
          key={protocol.protocolId}
          title={protocol.title}
          about={words.summary(protocol.daysWithout, protocol.daysOfUse, protocol.usesWithout, protocol.uses)}
        >
          {view === 'table' ? (
            <DaysTable days={protocol.days} />
          ) : (
            <Months days={protocol.days} from={data.from} to={data.to} closed={data.closed} />
          )}
        </Part>
      ))}
      <p className="small">{CONTROLS.caution}</p>
    </Page>
  );
}

function DaysTable({ days }: { days: ProtocolDays['days'] }) {
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.day}</th>
            <th scope="col">{words.runs}</th>
            <th scope="col">{words.without}</th>
            <th scope="col">{words.missing}</th>
          </tr>
        </thead>
        <tbody>
          {days.map(({ day, uses, without, missing }) => (
            <tr key={day}>
              <th scope="row" className="figures">
                {day}
              </th>
              <td data-label={words.runs} className="figures">
                {uses}
              </td>
              <td data-label={words.without} className="figures">
                {without}
              </td>
              <td data-label={words.missing}>{missing.length === 0 ? words.whole : missing.join('; ')}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** One small table a month, each day with its word. */
function Months({
  days,
  from,
  to,
  closed,
}: {
  days: ProtocolDays['days'];
  from: string;
  to: string;
  closed: readonly string[];
}) {
  const months = [...new Set(rangeOf(from, to).map((day) => day.slice(0, 7)))];
  return (
    <div className="months">
      {months.map((month) => (
        <table key={month} className="month">
          <caption>{monthText(month)}</caption>
          <thead>
            <tr>
              {words.weekdays.map((day) => (
                <th key={day} scope="col">
                  {day}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {weeksOf(month, from, to).map((week) => (
              <tr key={week[0]}>
                {week.map((day) => (
                  <DayCell
                    key={day}
                    day={day}
                    outside={!day.startsWith(month) || day < from || day > to}
                    closed={closed.includes(day)}
                    used={days.find((each) => each.day === day)}
                  />
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      ))}
    </div>
  );
}

function DayCell({
  day,
  outside,
  closed,
  used,
}: {
  day: string;
  outside: boolean;
  closed: boolean;
  used: ProtocolDays['days'][number] | undefined;
}) {
  if (outside) return <td className="day-outside" />;
  const word = used ? wordOf(used) : closed ? words.closed : words.unused;
  const open = used !== undefined && used.missing.length > 0;
  const look = used ? (used.without > 0 ? 'day-without' : 'day-used') : 'day-closed';
  return (
    <td className={look} {...(open && { title: used.missing.join('; ') })}>
      <span className="day-number figures">{Number(day.slice(8))}</span>
      {word}
    </td>
  );
}

function wordOf({ without, waiting }: ProtocolDays['days'][number]): string {
  if (without > 0) return words.some(without);
  return waiting > 0 ? words.waits(waiting) : words.whole;
}

function rangeOf(from: string, to: string): string[] {
  const days: string[] = [];
  for (let day = from; day <= to; day = plusDays(day, 1)) days.push(day);
  return days;
}

/** '2026-11' is 'November 2026' where English is read. */
function monthText(month: string): string {
  return new Intl.DateTimeFormat(LOCALE, { month: 'long', year: 'numeric', timeZone: 'UTC' }).format(
    Date.parse(`${month}-01`),
  );
}

/** The weeks of a month that touch a period, Monday first, filled up with the days around it. */
function weeksOf(month: string, from: string, to: string): string[][] {
  const first = `${month}-01`;
  const monday = plusDays(first, -((new Date(`${first}T00:00:00.000Z`).getUTCDay() + 6) % 7));
  const weeks: string[][] = [];
  for (let start = monday; start.slice(0, 7) <= month; start = plusDays(start, 7)) {
    if (plusDays(start, 6) < from || start > to) continue;
    weeks.push(Array.from({ length: 7 }, (_, n) => plusDays(start, n)));
  }
  return weeks;
}
