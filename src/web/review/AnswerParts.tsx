import { useSession } from '../app/session.js';
import type { Answer } from '../api.paths.js';
import type { CountName } from '../../core/ask/topics.js';
import { useGateText } from '../bench/gateText.js';
import { Part, Tag } from '../parts/Page.js';
import { Thing } from './links.js';
import { REVIEW } from './words.js';

const words = REVIEW.ask;

function countOf({ counts }: Answer, name: CountName): number {
  return counts.find(({ what }) => what === name)?.count ?? 0;
}

/** Said where an answer holds more than is shown of it. */
function Cut({ shown, all }: { shown: number; all: number }) {
  return shown < all ? <p className="small">{words.cut(shown)}</p> : null;
}

export function Late({ answer }: { answer: Answer }) {
  const { format } = useSession();
  const { late } = answer;
  const count = countOf(answer, 'late entries');
  const entries = countOf(answer, 'bench entries');
  return (
    <Part title={words.late} about={count === 0 ? words.noLate(entries) : words.lateAbout}>
      {count > 0 && <p>{words.of(entries, 'bench entries').replace(/^of/, `${count} of`)}</p>}
      <ul className="checks">
        {late.map(({ runId, title, what, performedAt, recordedAt, who }, n) => (
          <li key={`${runId} ${n}`}>
            <p>
              <Tag frame="double">{words.isLate}</Tag> {what}:{' '}
              <Thing kind="run" id={runId}>
                {title}
              </Thing>
            </p>
            <p className="small">
              {words.performed} {format.toTheSecond(performedAt)} · {words.recorded} {format.toTheSecond(recordedAt)} ·{' '}
              {who}
            </p>
          </li>
        ))}
      </ul>
      <Cut shown={late.length} all={count} />
    </Part>
  );
}

export function Releases({ answer }: { answer: Answer }) {
  const { format } = useSession();
  const text = useGateText();
  const { releases } = answer;
  const all = countOf(answer, 'releases');
  return (
    <Part
      title={words.releases}
      about={all === 0 ? words.noReleases : words.releasesAbout(countOf(answer, 'releases by exception'), all)}
    >
      <ul className="checks">
        {releases.map(({ id, runId, title, kind, findings, signature, exception }) => {
          const weighty = findings.filter(({ weight }) => weight !== 'note');
          return (
            <li key={id}>
              <p className="tag-line">
                {exception && <Tag frame="full">{words.exception}</Tag>}
                {weighty.map(({ id: finding, weight }) => (
                  <Tag key={finding} frame={weight === 'stop' ? 'full' : 'double'}>
                    {words.weights[weight]}
                  </Tag>
                ))}
                {weighty.length === 0 && <Tag>{words.clean}</Tag>}
                <span>
                  {kind}:{' '}
                  <Thing kind="run" id={runId}>
                    {title}
                  </Thing>
                </span>
              </p>
              {weighty.map(({ id: finding, what }) => (
                <p key={finding} className="small">
                  {text(what)}
                </p>
              ))}
              {exception && <p className="small">{exception.reason}</p>}
              <p className="small">
                {words.signed} {signature.name}, {format.toTheSecond(signature.at)}, {signature.meaning}
                {exception && ` · ${words.second} ${exception.second.name}, ${format.toTheSecond(exception.second.at)}`}
              </p>
            </li>
          );
        })}
      </ul>
      <Cut shown={releases.length} all={all} />
    </Part>
  );
}

export function Controls({ answer }: { answer: Answer }) {
  const { format } = useSession();
  const { controls } = answer;
  const all = countOf(answer, 'control readings');
  return (
    <Part
      title={words.controls}
      about={all === 0 ? words.noControls : words.controlsAbout(countOf(answer, 'control readings that failed'), all)}
    >
      <ul className="checks">
        {controls.map(({ id, runId, title, requirement, at, passed, observed, who }) => (
          <li key={id}>
            <p className="tag-line">
              <Tag frame={passed ? 'plain' : 'full'}>{passed ? words.passed : words.failed}</Tag>
              <span>
                {requirement}: {observed} ·{' '}
                <Thing kind="run" id={runId}>
                  {title}
                </Thing>
              </span>
            </p>
            <p className="small">{[format.dayAndClock(at), ...(who === null ? [] : [who])].join(' · ')}</p>
          </li>
        ))}
      </ul>
      <Cut shown={controls.length} all={all} />
    </Part>
  );
}

export function Competence({ answer: { competence } }: { answer: Answer }) {
  const columns = words.competenceColumns;
  return (
    <Part title={words.competence} about={competence.length === 0 ? words.noCompetence : words.competenceAbout}>
      {competence.length > 0 && (
        <div className="table-place">
          <table>
            <thead>
              <tr>
                {Object.values(columns).map((name) => (
                  <th key={name} scope="col">
                    {name}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {competence.map(({ protocolId, title, runs, competent, supervised, alone, standing }) => (
                <tr key={protocolId}>
                  <th scope="row">{title}</th>
                  <td data-label={columns.runs} className="figures">
                    {runs}
                  </td>
                  <td data-label={columns.competent} className="figures">
                    {competent}
                  </td>
                  <td data-label={columns.supervised} className="figures">
                    {supervised}
                  </td>
                  <td data-label={columns.alone}>
                    {alone > 0 ? <Tag frame="full">{alone}</Tag> : <span className="figures">{alone}</span>}
                  </td>
                  <td data-label={columns.standing}>{words.standings[standing]}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </Part>
  );
}
