import { Link } from 'react-aria-components';
import { chartedLevel } from '../../core/controls/charted.js';
import { levelChart } from '../../core/controls/picture.js';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Chart, useWidth } from '../control-results/Chart.js';
import '../control-results/results.css';
import { RESULTS } from '../control-results/words.js';
import { benchClock } from '../parts/ticker.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { spanText, unitText } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { PdfLink } from '../parts/PdfLink.js';
import { Counts } from './Counts.js';
import { type Answer, useMonth } from './month.js';
import { isMonth, monthAt, monthsLater } from './months.js';
import { MONTH as words } from './words.js';

/** The laboratory's month on one page, with its charts, and the same for print. */
export default function MonthScreen() {
  const { laboratory, format } = useSession();
  const [asked, setAsked] = useParam('month');
  const now = monthAt(benchClock.now().at, laboratory.zone);
  const month = asked ?? now;
  const { data, error, refetch } = useMonth(month);
  const pdf = `/api/reports/month/${encodeURIComponent(month)}/summary.pdf`;
  const valid = isMonth(month);
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        valid && (
          <>
            <PdfLink href={pdf}>{words.pdf}</PdfLink>
            <PdfLink href={`${pdf}?paper=Letter`}>{words.letter}</PdfLink>
          </>
        )
      }
    >
      <div className="finder">
        <Button isDisabled={!valid} onPress={() => setAsked(monthsLater(month, -1))}>
          {words.earlier}
        </Button>
        <Field
          label={words.month}
          help={words.monthHelp}
          value={month}
          onChange={(text) => setAsked(text === now ? null : text)}
          error={valid ? undefined : words.wrong}
        />
        <Button isDisabled={!valid || month >= now} onPress={() => setAsked(monthsLater(month, 1))}>
          {words.later}
        </Button>
      </div>
      {valid && !data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && (
        <>
          {!data.over && <p className="held-note">{words.open(format.dayAndClock(benchClock.now().at))}</p>}
          <Late data={data} />
          <Work data={data} />
          <Findings data={data} />
          <Controls data={data} />
          <Deviations data={data} />
          <Charts data={data} />
          <Stock data={data} />
          <RanOut data={data} />
          <Rounds data={data} />
        </>
      )}
      <p className="small">{words.caution}</p>
    </Page>
  );
}

interface Shown {
  data: Answer;
}

function Late({ data: { late, lateRuns, work } }: Shown) {
  const { format } = useSession();
  const sum = (of: (each: Answer['work'][number]) => number): number => work.reduce((all, each) => all + of(each), 0);
  const told = words.late;
  return (
    <Part
      title={told.title}
      about={told.sum(
        sum((each) => each.late),
        sum((each) => each.corrections),
        sum((each) => each.events),
        lateRuns,
        sum((each) => each.runs),
      )}
    >
      {late.length > 0 && (
        <Counts
          titles={[told.run, told.started, told.entered, told.corrections, told.events]}
          rows={late.map(({ runId, number, title, startedAt, late: entered, corrections, events }) => ({
            key: runId,
            cells: [
              <Link key="run" href={`/release/${runId}`}>{`${number}, ${title}`}</Link>,
              format.dayAndClock(startedAt),
              entered,
              corrections,
              events,
            ],
          }))}
        />
      )}
      {lateRuns > late.length && <p className="small">{told.more(lateRuns - late.length)}</p>}
    </Part>
  );
}

function Work({ data: { work } }: Shown) {
  const told = words.work;
  const waited = (ms: number | undefined): string => (ms === undefined ? told.noneYet : spanText(ms));
  return (
    <Part title={told.title} about={told.about}>
      {work.length === 0 && <p>{words.none}</p>}
      {work.length > 0 && (
        <Counts
          titles={[
            told.protocol,
            told.runs,
            told.cases,
            told.released,
            told.clear,
            told.exceptions,
            told.amended,
            told.withdrawn,
            told.median,
            told.p90,
          ]}
          rows={work.map((each) => ({
            key: each.protocolId,
            cells: [
              each.title,
              told.counted(each),
              each.cases,
              words.of(each.released, each.cases),
              words.of(each.clear, each.released),
              <Warned key="exceptions" count={each.exceptions} of={each.released} />,
              each.amended,
              each.withdrawn,
              waited(each.turnaround?.medianMs),
              waited(each.turnaround?.p90Ms),
            ],
          }))}
        />
      )}
    </Part>
  );
}

/** A count beside what it is of; framed where it is not 0. */
function Warned({ count, of }: { count: number; of: number }) {
  const text = words.of(count, of);
  return count === 0 ? text : <Tag frame="full">{text}</Tag>;
}

function Findings({ data: { findings, work } }: Shown) {
  const told = words.findings;
  const cases = work.reduce((sum, each) => sum + each.cases, 0);
  const released = work.reduce((sum, each) => sum + each.released, 0);
  return (
    <Part title={told.title} about={told.about(cases - released, cases)}>
      {findings.length === 0 && <p>{released === 0 ? words.none : told.empty}</p>}
      {findings.length > 0 && (
        <Counts
          titles={[told.rule, told.releases, told.stops, told.settled, told.excepted]}
          rows={findings.map(({ rule, title, releases, stops, settled, excepted }) => ({
            key: rule,
            cells: [title, releases, stops, settled, excepted],
          }))}
        />
      )}
    </Part>
  );
}

function Controls({ data: { controls, failures } }: Shown) {
  const { format } = useSession();
  const told = words.controls;
  return (
    <Part title={told.title}>
      {controls.length === 0 && <p>{words.none}</p>}
      {controls.length > 0 && (
        <Counts
          titles={[
            words.work.protocol,
            told.due,
            told.done,
            told.missed,
            told.open,
            told.read,
            told.failed,
            told.days,
            told.without,
          ]}
          rows={controls.map((each) => ({
            key: each.protocolId,
            cells: [
              each.title,
              each.due,
              each.answered,
              <Warned key="missed" count={each.missed} of={each.due} />,
              each.open,
              each.results,
              <Warned key="failed" count={each.failed} of={each.results} />,
              each.daysOfUse,
              <Warned key="without" count={each.daysWithout} of={each.daysOfUse} />,
            ],
          }))}
        />
      )}
      {failures.length > 0 && (
        <>
          <h3>{told.failures}</h3>
          <ul className="lines">
            {failures.map(({ id, title, requirement, at, observed, closed }) => (
              <li key={id}>
                <Link href={`/controls/failures/${id}`}>{`${title}: ${requirement}`}</Link>{' '}
                <Tag frame={closed ? 'plain' : 'full'}>{closed ? told.closed : told.isOpen}</Tag>
                <p className="small">
                  {format.dayAndClock(at)}: {observed}
                </p>
              </li>
            ))}
          </ul>
        </>
      )}
    </Part>
  );
}

function Deviations({ data: { deviations } }: Shown) {
  const { format } = useSession();
  const told = words.deviations;
  return (
    <Part title={told.title}>
      {deviations.length === 0 && <p>{words.none}</p>}
      {deviations.length > 0 && (
        <Counts
          titles={[told.number, told.what, told.opened, told.effect, told.state]}
          rows={deviations.map(({ id, number, title, openedAt, effect, state }) => ({
            key: id,
            cells: [
              number,
              <span key="deviation">
                <Link href={`/deviations/${id}`}>{title}</Link>
              </span>,
              format.dayAndClock(openedAt),
              effect,
              state,
            ],
          }))}
        />
      )}
    </Part>
  );
}

function Charts({ data: { series } }: Shown) {
  const [width, measure] = useWidth();
  return (
    <Part title={words.charts.title} {...(series.length > 0 && { about: RESULTS.charts.legend })}>
      <div ref={measure} />
      {series.length === 0 && <p>{words.none}</p>}
      {series.flatMap((judged) =>
        judged.series.levels.map(({ id, level }) => {
          const { points, limits, marks } = chartedLevel(judged, level);
          const { title, unit, levels } = judged.series;
          return (
            <div key={id}>
              <h3>
                <Link href={`/controls/charts/${levels[0]?.id ?? id}`}>{`${title}: ${level} (${unitText(unit)})`}</Link>
              </h3>
              <Chart drawing={levelChart(points, limits, marks, width)} label={words.charts.chartOf(title, level)} />
            </div>
          );
        }),
      )}
    </Part>
  );
}

function Stock({ data: { lots, waste } }: Shown) {
  const { format } = useSession();
  const told = words.stock;
  return (
    <Part title={told.title}>
      {lots.length === 0 && <p>{words.none}</p>}
      {lots.length > 0 && (
        <Counts
          titles={[told.lot, told.reagent, told.what, told.when, told.left]}
          rows={lots.map(({ lotId, what, reagent, number, at, containers }) => ({
            key: `${lotId} ${what} ${at}`,
            cells: [
              <Link key="lot" href={`/stock/${lotId}`}>
                {number}
              </Link>,
              reagent,
              what,
              format.dayAndClock(at),
              containers,
            ],
          }))}
        />
      )}
      <h3>{told.discarded}</h3>
      {waste.length === 0 && <p>{words.none}</p>}
      {waste.length > 0 && (
        <Counts
          titles={[told.reagent, told.containers, told.amount]}
          rows={waste.map(({ reagent, containers, amount, unit }) => ({
            key: reagent,
            cells: [reagent, containers === 0 ? told.part : containers, `${amount} ${unit}`],
          }))}
        />
      )}
    </Part>
  );
}

function RanOut({ data: { ranOut } }: Shown) {
  const { format } = useSession();
  const told = words.ranOut;
  return (
    <Part title={told.title}>
      {ranOut.length === 0 && <p>{words.none}</p>}
      {ranOut.length > 0 && (
        <Counts
          titles={[told.whose, told.what, told.about, told.ended, told.renewed]}
          rows={ranOut.map(({ what, name, about, at, renewedAt }) => ({
            key: `${what} ${name} ${about} ${at}`,
            cells: [
              name,
              what,
              about,
              format.dayAndClock(at),
              renewedAt === null ? <Tag frame="double">{told.notRenewed}</Tag> : format.dayAndClock(renewedAt),
            ],
          }))}
        />
      )}
    </Part>
  );
}

function Rounds({ data: { rounds } }: Shown) {
  const { format } = useSession();
  const told = words.rounds;
  return (
    <Part title={told.title}>
      {rounds.length === 0 && <p>{words.none}</p>}
      {rounds.length > 0 && (
        <Counts
          titles={[told.round, words.work.protocol, told.due, told.stands, told.score]}
          rows={rounds.map(({ id, body, round, title, dueAt, standing, score, satisfactory }) => ({
            key: id,
            cells: [
              `${body}, ${round}`,
              title,
              format.lastDay(dueAt),
              standing,
              score === null ? (
                told.noScore
              ) : (
                <Tag frame={satisfactory === true ? 'plain' : 'full'}>
                  {`${score}, ${satisfactory === true ? told.good : told.bad}`}
                </Tag>
              ),
            ],
          }))}
        />
      )}
    </Part>
  );
}
