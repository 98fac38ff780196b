import type { NumericResults, ScaleResults, StudyResults } from '../../core/study/acceptance.js';
import type { Interval } from '../../core/study/proportion.js';
import type { Study } from '../api.paths.js';
import { Tag } from '../parts/Page.js';
import { DifferencePlot } from './DifferencePlot.js';
import { figures } from '../parts/numbers.js';
import { percent, STUDIES } from './words.js';

const words = STUDIES.page;

/** What the pairs show: criteria first, then the figures behind them with their picture. */
export function Results({ study, results }: { study: Study; results: StudyResults }) {
  return (
    <div className="study-results">
      <Criteria results={results} />
      {results.remarks.map((remark) => (
        <p key={remark}>{remark}</p>
      ))}
      {results.kind === 'numeric' ? (
        <>
          <NumericFigures results={results} />
          <DifferencePlot study={study} differences={results.differences} />
        </>
      ) : (
        <>
          <ScaleFigures results={results} />
          <AgreementTable results={results} study={study} />
        </>
      )}
    </div>
  );
}

function Criteria({ results }: { results: StudyResults }) {
  const value = (what: string, found: number | Interval | null): string => {
    if (found === null) return words.undefinedValue;
    if (typeof found !== 'number') return range(found);
    return what === 'kappa' ? figures(found) : percent(found);
  };
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.criterion}</th>
            <th scope="col">{words.wanted}</th>
            <th scope="col">{words.found}</th>
            <th scope="col">{words.verdict}</th>
          </tr>
        </thead>
        <tbody>
          {results.criteria.map(({ what, wanted, found, met }) => (
            <tr key={what}>
              <th scope="row">{words.what[what]}</th>
              <td data-label={words.wanted} className="figures">
                {value(what, wanted)}
              </td>
              <td data-label={words.found} className="figures">
                {value(what, found)}
              </td>
              <td data-label={words.verdict}>
                <Tag frame={met ? 'plain' : 'full'}>{met ? words.met : words.notMet}</Tag>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Facts({ facts }: { facts: readonly (readonly [string, string])[] }) {
  return (
    <dl className="facts">
      {facts.map(([fact, value]) => (
        <div key={fact}>
          <dt>{fact}</dt>
          <dd className="figures">{value}</dd>
        </div>
      ))}
    </dl>
  );
}

function ScaleFigures({ results }: { results: ScaleResults }) {
  const { agreement, interval, kappa, weighted, shiftP } = results;
  const judged = weighted ?? kappa;
  return (
    <Facts
      facts={[
        [words.what.agreement, percent(agreement)],
        [words.interval, words.range(percent(interval[0]), percent(interval[1]))],
        [
          weighted ? words.weighted : words.what.kappa,
          judged.estimate === null
            ? words.undefinedValue
            : `${figures(judged.estimate)}${judged.ci ? ` (${range(judged.ci)})` : ''}`,
        ],
        ...(shiftP === null ? [] : [[words.shift, figures(shiftP)] as const]),
      ]}
    />
  );
}

function AgreementTable({ results, study }: { results: ScaleResults; study: Study }) {
  const categories = study.categories ?? [];
  return (
    <div className="table-place">
      <table className="agreement">
        <caption>{words.table}</caption>
        <thead>
          <tr>
            <td />
            {categories.map((each) => (
              <th key={each} scope="col">
                {each}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {results.table.map((row, i) => (
            <tr key={categories[i]}>
              <th scope="row">{categories[i]}</th>
              {row.map((count, j) => (
                <td key={categories[j]} data-label={categories[j]} className={i === j ? 'figures agreed' : 'figures'}>
                  {count}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function NumericFigures({ results }: { results: NumericResults }) {
  const { differences, deming, passingBablok, linearity } = results;
  const line = (found: { slope: number; intercept: number } | null) =>
    found ? words.line(figures(found.slope), figures(found.intercept)) : words.undefinedValue;
  return (
    <Facts
      facts={[
        [words.mean, `${figures(differences.bias)} (${range(differences.biasCi)})`],
        [words.sd, figures(differences.sd)],
        [words.limits, range(differences.limits)],
        [words.deming, line(deming)],
        [words.passingBablok, line(passingBablok)],
        ...(linearity
          ? [
              [
                words.linearity,
                linearity.deviates ? words.bent(figures(linearity.h)) : words.straight(figures(linearity.h)),
              ] as const,
            ]
          : []),
      ]}
    />
  );
}

function range([low, high]: Interval): string {
  return words.range(figures(low), figures(high));
}
