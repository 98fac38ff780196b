import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { chartedLevel } from '../../core/controls/charted.js';
import { averageChart, levelChart, sumChart } from '../../core/controls/picture.js';
import { api, got } from '../api.js';
import { useParam } from '../app/router.js';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { unitText } from '../parts/format.js';
import { decimals, figures } from '../parts/numbers.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { PdfLink } from '../parts/PdfLink.js';
import { Chart, useWidth } from './Chart.js';
import { type Evaluation, SERIES_KEY, useEvaluation } from './queries.js';
import './results.css';
import { LimitsSheet, MarkSheet, ValuesSheet } from './series-sheets.js';
import { RESULTS } from './words.js';

const words = RESULTS.charts;
const above = { href: '/controls/charts', word: words.title };

/** One series: a chart for each level with EWMA and CUSUM beside it, the same as a table, and the period in the address. */
export default function ChartScreen({ series: id = '' }: ScreenProps) {
  const { may } = useSession();
  const [from, setFrom] = useParam('from');
  const [to, setTo] = useParam('to');
  const [open, setOpen] = useState<'values' | 'mark' | 'limits' | null>(null);
  const period = { ...(from && { from: dayStart(from) }), ...(to && { to: dayEnd(to) }) };
  const { data: judged, error, refetch } = useEvaluation(id, period);
  if (!judged) {
    return (
      <Page title={words.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const { series } = judged;
  const acting = may('technician', 'manager', 'releaser');
  const query = new URLSearchParams(period).toString();
  const close = (): void => setOpen(null);
  return (
    <Page
      title={series.title}
      above={above}
      about={
        <p>
          {words.rulesInUse}:{' '}
          {Object.entries(series.rules)
            .map(([rule, weight]) => `${rule} ${words.weights[weight as keyof typeof words.weights]}`)
            .join(', ')}
        </p>
      }
      ways={
        <>
          {acting && (
            <Button look="main" onPress={() => setOpen('values')}>
              {RESULTS.sheets.add}
            </Button>
          )}
          {acting && <Button onPress={() => setOpen('mark')}>{RESULTS.sheets.mark}</Button>}
          {may('manager', 'director') && <Button onPress={() => setOpen('limits')}>{RESULTS.sheets.limits}</Button>}
        </>
      }
    >
      <div className="finder">
        <Field label={words.from} type="date" value={from ?? ''} onChange={(day) => setFrom(day || null)} />
        <Field label={words.to} type="date" value={to ?? ''} onChange={(day) => setTo(day || null)} />
      </div>
      <p className="small">{words.legend}</p>
      {series.levels.map(({ id: levelId, level }) => (
        <Level key={levelId} judged={judged} level={level} />
      ))}
      <History id={id} />
      <p>
        <PdfLink href={`/api/control-series/${id}/chart.pdf${query === '' ? '' : `?${query}`}`}>
          {words.printed}
        </PdfLink>{' '}
        <a
          href={`/api/control-series/${id}/chart.svg${query === '' ? '' : `?${query}`}`}
          target="_blank"
          rel="noreferrer"
        >
          {words.picture}
        </a>
      </p>
      <p className="small">{RESULTS.caution}</p>
      {open === 'values' && <ValuesSheet series={series} id={id} onClose={close} />}
      {open === 'mark' && <MarkSheet id={id} onClose={close} />}
      {open === 'limits' && <LimitsSheet judged={judged} onClose={close} />}
    </Page>
  );
}

/** A day of the address begins and ends by this device's clock. */
function dayStart(day: string): string {
  return new Date(`${day}T00:00:00`).toISOString();
}

function dayEnd(day: string): string {
  return new Date(Date.parse(dayStart(day)) + 86_400_000).toISOString();
}

function Level({ judged, level }: { judged: Evaluation; level: string }) {
  const { format } = useSession();
  const { title, unit, limits } = judged.series;
  const { points, ...around } = chartedLevel(judged, level);
  const own = limits.filter((each) => each.level === level);
  const [width, measure] = useWidth();
  if (points.length === 0) {
    return (
      <Part title={`${level} (${unitText(unit)})`}>
        <p>{words.empty}</p>
      </Part>
    );
  }
  return (
    <Part title={`${level} (${unitText(unit)})`}>
      <div ref={measure} />
      <Chart drawing={levelChart(points, around.limits, around.marks, width)} label={words.chartOf(title, level)} />
      {own.length > 0 && (
        <>
          <h3>{words.average}</h3>
          <p className="small">{words.averageHelp}</p>
          <Chart drawing={averageChart(points, width)} label={`${words.average}, ${level}`} />
          <h3>{words.sum}</h3>
          <p className="small">{words.sumHelp}</p>
          <Chart drawing={sumChart(points, width)} label={`${words.sum}, ${level}`} />
        </>
      )}
      <ul className="grades">
        {own.map(({ id, mean, sd, n, since, source, provisional, reason, signature }) => (
          <li key={id} className="small">
            {words.limits}: {words.limitsText(figures(mean), figures(sd), unitText(unit), n)} ({source}
            {provisional && `, ${words.provisional}`}) · {format.dayAndClock(since)} · {signature.name}: {reason}
          </li>
        ))}
        {around.marks.map(({ at, text }) => (
          <li key={`${at} ${text}`} className="small">
            {format.dayAndClock(at)}: {text}
          </li>
        ))}
      </ul>
      <details>
        <summary>{words.asTable}</summary>
        <div className="table-place">
          <table>
            <thead>
              <tr>
                <th scope="col">{words.measured}</th>
                <th scope="col">{words.value}</th>
                <th scope="col">{words.sd}</th>
                <th scope="col">{words.rules}</th>
              </tr>
            </thead>
            <tbody>
              {points.toReversed().map(({ at, value, z, verdict, fired }, n) => (
                <tr key={`${at} ${n}`}>
                  <th scope="row" className="figures">
                    {format.dayAndClock(at)}
                  </th>
                  <td data-label={words.value} className="figures">
                    {figures(value)} {unitText(unit)}
                  </td>
                  <td data-label={words.sd} className="figures">
                    {z === null ? '—' : decimals(z, 2)}
                  </td>
                  <td data-label={words.rules}>
                    {verdict === null ? words.unjudged : words.verdicts[verdict]}{' '}
                    {fired.map((rule) => (
                      <Tag key={rule} frame={verdict === 'reject' ? 'full' : 'double'}>
                        {rule}
                      </Tag>
                    ))}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </Part>
  );
}

function History({ id }: { id: string }) {
  const { data } = useQuery({
    queryKey: [...SERIES_KEY, id, 'history'],
    queryFn: () => got(api.GET('/api/control-series/{id}/history', { params: { path: { id } } })),
  });
  if (!data) return null;
  const rules = Object.entries(data.byRule);
  return (
    <Part title={words.history}>
      <p>{words.historyText(data.values, data.rejected, data.warned)}</p>
      {rules.length > 0 && <p className="small">{rules.map(([rule, count]) => `${rule}: ${count}`).join(' · ')}</p>}
    </Part>
  );
}
