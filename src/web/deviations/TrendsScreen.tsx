import { Page, Part, Nothing, Tag, Waiting } from '../parts/Page.js';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { figures } from '../parts/numbers.js';
import './deviations.css';
import { type TrendGroup, type TrendPeriod, type Trends, useSupport, useTrends } from './queries.js';
import { monthName, percent, TrendChart } from './TrendChart.js';
import { DEVIATIONS } from './words.js';

const words = DEVIATIONS.trends;
type Measure = keyof typeof words.measures;
type Grouping = keyof typeof words.groups;
/** Limits from fewer samples are trial ones: common practice. */
const FIRM = 20;
const DAY = /^\d{4}-\d\d-\d\d$/;

/** Where the process lets deviations happen: rates by month against their limits, and what they have in common. */
export default function TrendsScreen() {
  const { may } = useSession();
  const [from, setFrom] = useParam('from');
  const [to, setTo] = useParam('to');
  const period = {
    ...(from !== null && DAY.test(from) && { from }),
    ...(to !== null && DAY.test(to) && { to }),
  };
  const { data: trends, error, refetch } = useTrends(period);
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <div className="finder">
        <Field label={words.from} type="date" value={from ?? trends?.from ?? ''} onChange={setFrom} />
        <Field label={words.to} type="date" value={to ?? trends?.to ?? ''} onChange={setTo} />
      </div>
      {!trends && <Waiting error={error} onRetry={() => void refetch()} />}
      {trends && <Told trends={trends} />}
      {trends && may('manager', 'director') && <Help period={period} />}
      <p className="small">{DEVIATIONS.caution}</p>
    </Page>
  );
}

function Told({ trends }: { trends: Trends }) {
  const { runs, deviations, withoutRun } = trends;
  const facts = [
    [words.runs, String(runs)],
    [words.deviations, String(deviations)],
    [words.rate, runs === 0 ? '—' : percent(deviations / runs)],
    [words.withoutRun, String(withoutRun)],
  ] as const;
  return (
    <>
      <dl className="facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd className="figures">{value}</dd>
          </div>
        ))}
      </dl>
      <ByMonth trends={trends} />
      <div className="trend-groups">
        {(Object.keys(words.groups) as Grouping[]).map((by) => (
          <Part key={by} title={words.groups[by]} about={words.groupHelp[by]}>
            <Pareto groups={named(by, trends[by])} parts={by !== 'byLot'} />
          </Part>
        ))}
      </div>
    </>
  );
}

function named(by: Grouping, groups: readonly TrendGroup[]): TrendGroup[] {
  if (by === 'byCause') {
    return groups.map((group) => ({ ...group, name: wordOf(DEVIATIONS.causes, group.key) }));
  }
  if (by === 'byEffect') {
    const names = Object.fromEntries(Object.entries(DEVIATIONS.effects).map(([id, { name }]) => [id, name]));
    return groups.map((group) => ({ ...group, name: wordOf(names, group.key) }));
  }
  return [...groups];
}

function wordOf(names: Record<string, string>, key: string): string {
  return names[key] ?? key;
}

function ByMonth({ trends }: { trends: Trends }) {
  const [chosen, choose] = useParam('measure');
  const measure: Measure = chosen === 'runsWith' ? 'runsWith' : 'perRun';
  const chart = trends[measure];
  const { months } = trends;
  if (!chart) {
    return (
      <Nothing title={words.none}>
        <p>{words.noneHelp}</p>
      </Nothing>
    );
  }
  const withRuns = chart.points.filter(({ size }) => size > 0).length;
  const beyond = chart.points.flatMap((point, n) => (point.beyond ? [monthName(months[n] ?? '')] : []));
  return (
    <Part title={words.byMonth}>
      <Choice
        label={words.measure}
        options={(Object.keys(words.measures) as Measure[]).map((id) => ({ id, ...words.measures[id] }))}
        value={measure}
        onChange={(id) => choose(id === 'perRun' ? null : id)}
      />
      <TrendChart chart={chart} months={months} label={words.chartLabel[measure](months.length)} />
      <p>{withRuns < 2 ? words.alone : beyond.length === 0 ? words.steady : words.beyond(beyond.join(', '))}</p>
      {withRuns > 1 && withRuns < FIRM && <p className="small">{words.provisional(withRuns)}</p>}
      {chart.points.some(({ sparse, size }) => sparse && size > 0) && <p className="small">{words.sparse}</p>}
      <details>
        <summary>{words.table}</summary>
        <div className="table-place">
          <table>
            <thead>
              <tr>
                <th scope="col">{words.month}</th>
                <th scope="col">{words.counted}</th>
                <th scope="col">{words.inRuns}</th>
                <th scope="col">{words.rate}</th>
                <th scope="col">{words.lower}</th>
                <th scope="col">{words.upper}</th>
              </tr>
            </thead>
            <tbody className="figures">
              {chart.points.map(({ count, size, value, lcl, ucl, beyond: out }, n) => (
                <tr key={months[n]}>
                  <th scope="row">{monthName(months[n] ?? '')}</th>
                  <td data-label={words.counted}>{count}</td>
                  <td data-label={words.inRuns}>{size}</td>
                  <td data-label={words.rate}>
                    {value === null ? words.noRuns : percent(value)} {out && <Tag frame="full">{words.isBeyond}</Tag>}
                  </td>
                  <td data-label={words.lower}>{value === null ? '' : percent(lcl)}</td>
                  <td data-label={words.upper}>{value === null ? '' : percent(ucl)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </Part>
  );
}

/**
 * The most frequent first, each with its bar and its denominator; where each deviation is of one group only, with the share
 * of all up to it.
 */
function Pareto({ groups, parts }: { groups: readonly TrendGroup[]; parts: boolean }) {
  const most = groups[0]?.deviations ?? 1;
  if (groups.length === 0) return <p>{words.empty}</p>;
  return (
    <ol className="pareto">
      {groups.map(({ key, name, deviations, runs, rate, cumulative }) => (
        <li key={key}>
          <p>
            {name}: <span className="figures">{words.inWords(deviations, runs)}</span>
            {rate !== null && <span className="small figures"> · {words.rateWords(percent(rate))}</span>}
            {parts && <span className="small figures"> · {words.upToHere(`${Math.round(cumulative * 100)} %`)}</span>}
          </p>
          <svg viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true" className="pareto-bar">
            <rect width={(100 * deviations) / most} height={4} />
          </svg>
        </li>
      ))}
    </ol>
  );
}

/** Where training or help may be wanting; only for who answers for people, with what it is for. */
function Help({ period }: { period: TrendPeriod }) {
  const { data, error, refetch } = useSupport(period);
  if (!data) {
    return (
      <Part title={words.support}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Part>
    );
  }
  return (
    <Part title={words.support} about={data.purpose}>
      <p>{words.people(data.people)}</p>
      <h3>{words.byAssessor}</h3>
      <Pareto groups={data.byAssessor} parts />
      <h3>{words.stand}</h3>
      {data.support.length === 0 ? (
        <p>{words.standNobody}</p>
      ) : (
        <ul className="plain-list">
          {data.support.map(({ personId, name, deviations, runs, expected }) => (
            <li key={personId}>
              {name}: {words.standWords(deviations, runs, figures(expected, 2))}
            </li>
          ))}
        </ul>
      )}
    </Part>
  );
}
