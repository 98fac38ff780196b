import { clockName } from '../../core/controls/planned.js';
import type { Finding } from '../../core/gate/finding.js';
import { eventsOf, type RunState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { useCatalogue } from '../bench/bench.js';
import { asWords, shortLabel } from '../parts/format.js';
import { Tag } from '../parts/Page.js';
import { causeText, firstLimit } from '../stock/stock.js';
import { findingAnchor, ruleTitle } from './FindingList.js';
import { RELEASE } from './words.js';

const words = RELEASE.containers;

/** What was scanned onto the tray, its lot, how long it may be used, and what spoke against its use. */
export function Tray({ run, state, findings }: { run: RunView; state: RunState; findings: readonly Finding[] }) {
  const { format } = useSession();
  const { name } = useCatalogue();
  const used = [...new Map(state.tray.map((place) => [place.container, place])).values()];
  if (used.length === 0) return <p>{words.none}</p>;
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.reagent}</th>
            <th scope="col">{words.container}</th>
            <th scope="col">{words.lot}</th>
            <th scope="col">{words.from}</th>
            <th scope="col">{words.until}</th>
            <th scope="col">{words.valid}</th>
          </tr>
        </thead>
        <tbody>
          {used.map(({ reagent, container: id, step, mark }) => {
            const container = run.containers.find((each) => each.id === id);
            const first = container && firstLimit(container.limits);
            const against = findings.filter((finding) => finding.id.endsWith(`:${id}`));
            return (
              <tr key={id}>
                <th scope="row">
                  {name(container?.reagent ?? reagent)}
                  {step !== null && <span className="small"> {words.onlyFor(step)}</span>}
                </th>
                <td data-label={words.container}>
                  <span className="label">{container ? shortLabel(container.label) : id}</span>
                </td>
                <td data-label={words.lot}>
                  {container && <Link href={`/stock/${container.lot.id}`}>{container.lot.number}</Link>}
                </td>
                <td data-label={words.from} className="figures">
                  {format.clock(mark.stamp.at)}
                </td>
                <td data-label={words.until}>
                  {first ? (
                    <>
                      <span className="figures">{format.dayAndClock(first.until)}</span>{' '}
                      <span className="small">{causeText(first.by)}</span>
                    </>
                  ) : (
                    words.noLimit
                  )}
                </td>
                <td data-label={words.valid}>
                  {against.length === 0
                    ? words.fine
                    : against.map((finding) => (
                        <a key={finding.id} href={`#${findingAnchor(finding.id)}`}>
                          <Tag frame="full">{ruleTitle(finding.rule)}</Tag>
                        </a>
                      ))}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}

/** What each control should show, and what was seen. */
export function Controls({ run, state }: { run: RunView; state: RunState }) {
  const { format } = useSession();
  const asked = run.controls;
  const readings = eventsOf(state.events, 'control-read');
  const told = RELEASE.controls;
  if (asked.length === 0) return <p>{told.none}</p>;
  return (
    <ul className="checks">
      {asked.map((requirement) => {
        const own = run.subjects.filter(({ control }) => control === requirement.id);
        return (
          <li key={requirement.id}>
            <p>
              <strong>{told.kind(asWords(requirement.kind))}</strong>{' '}
              <span className="small">
                {requirement.clocks.map(clockName).join(', ')}
                {!requirement.required && ` · ${told.notRequired}`}
              </span>
            </p>
            <dl className="facts">
              <div>
                <dt>{told.expected}</dt>
                <dd>{requirement.expected}</dd>
              </div>
              {own.length === 0 && (
                <div>
                  <dt>{told.observed}</dt>
                  <dd>
                    <Tag frame="soft">{told.missing}</Tag> <span className="small">{requirement.material}</span>
                  </dd>
                </div>
              )}
              {own.map(({ subjectId, label }) => {
                const reading = readings.findLast(({ data }) => data.control === subjectId);
                return (
                  <div key={subjectId}>
                    <dt>
                      {told.observed} <span className="label">{shortLabel(label)}</span>
                    </dt>
                    <dd>
                      {reading ? (
                        <>
                          {reading.data.observed}{' '}
                          <Tag frame={reading.data.passed ? 'plain' : 'full'}>
                            {reading.data.passed ? told.passed : told.failed}
                          </Tag>{' '}
                          <span className="small">
                            {told.readBy(
                              run.people[reading.personId] ?? reading.personId,
                              format.dayAndClock(reading.stamp.at),
                            )}
                          </span>
                        </>
                      ) : (
                        <Tag frame="double">{told.unread}</Tag>
                      )}
                    </dd>
                  </div>
                );
              })}
            </dl>
          </li>
        );
      })}
    </ul>
  );
}

/** What was said before anything was signed, to whom, and what the gate said at that moment. */
export function Answers({ run, state }: { run: RunView; state: RunState }) {
  const { format } = useSession();
  const said = eventsOf(state.events, 'answered');
  const told = RELEASE.answers;
  if (said.length === 0) return <p>{told.none}</p>;
  return (
    <ul className="checks">
      {said.map(({ id, personId, stamp, data }) => (
        <li key={id}>
          <p>
            <strong className="label">
              {shortLabel(run.subjects.find(({ subjectId }) => subjectId === data.subject)?.label ?? data.subject)}
            </strong>{' '}
            {told.said(run.people[personId] ?? personId, format.dayAndClock(stamp.at))} {told.listener(data.listener)},{' '}
            {data.readBack ? told.readBack : <Tag frame="double">{told.notReadBack}</Tag>}.
          </p>
          <p>{run.words[data.words] === undefined ? told.removed : `“${run.words[data.words]}”`}</p>
          <p className="small">
            {told.gate[data.verdict]} {data.findings.length > 0 && told.gateBy(data.findings.length)}
          </p>
        </li>
      ))}
    </ul>
  );
}
