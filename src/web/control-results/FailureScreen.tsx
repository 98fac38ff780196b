import { useState } from 'react';
import { Link } from 'react-aria-components';
import { FAILURE_ACTS } from '../../core/controls/failure.js';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SignatureBlock } from '../parts/Signing.js';
import { ActSheet, CloseSheet } from './failure-sheets.js';
import { FailureTag } from './FailuresScreen.js';
import { controlName, Lots, Pictures, Readings, ResultTags } from './parts.js';
import { type ControlResult, type FailureStory, useFailure } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.story;
const above = { href: '/controls/failures', word: RESULTS.failures.title };

/** The story of a failed control on one page: what was expected, what was seen, what it covers, and how it ended. */
export default function FailureScreen({ failure: id = '' }: ScreenProps) {
  const { format } = useSession();
  const { data: story, error, refetch } = useFailure(id);
  if (!story) {
    return (
      <Page title={RESULTS.failures.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const { result } = story;
  return (
    <Page
      title={controlName(result)}
      above={above}
      about={
        <p className="tag-line">
          {result.title} · <span className="figures">{format.dayAndClock(result.at)}</span>{' '}
          <FailureTag state={story.state} />
        </p>
      }
      ways={<OpenDeviation from={{ subject: 'control failure', subjectId: id }} />}
    >
      <Part title={words.expectedSeen}>
        <dl className="facts">
          <div>
            <dt>{RESULTS.expected}</dt>
            <dd>{result.expected ?? '—'}</dd>
          </div>
          <div>
            <dt>{RESULTS.seen}</dt>
            <dd>
              <ResultTags result={result} />
              <Readings result={result} />
            </dd>
          </div>
          <div>
            <dt>{words.run}</dt>
            <dd>
              {result.runId === null ? words.value : <Link href={`/release/${result.runId}`}>{result.title}</Link>}
            </dd>
          </div>
          <div>
            <dt>{words.lots}</dt>
            <dd>
              <Lots lots={result.lots} />
            </dd>
          </div>
        </dl>
        <Pictures result={result} />
      </Part>
      <Part title={words.reach}>
        <dl className="facts">
          <div>
            <dt>{words.lastPassing}</dt>
            <dd>
              <Neighbour result={story.lastPassing} none={words.nobody} />
            </dd>
          </div>
          <div>
            <dt>{words.firstPassing}</dt>
            <dd>
              <Neighbour result={story.firstPassing} none={words.notYet} />
            </dd>
          </div>
        </dl>
      </Part>
      <Part title={words.covers} about={words.coversHelp}>
        <Covered story={story} />
      </Part>
      <Part title={words.course}>
        <Course story={story} />
      </Part>
      <p className="small">{RESULTS.caution}</p>
    </Page>
  );
}

function Neighbour({ result, none }: { result: ControlResult | null; none: string }) {
  const { format } = useSession();
  if (!result) return <>{none}</>;
  const time = format.dayAndClock(result.stainedAt);
  return result.runId === null ? <>{time}</> : <Link href={`/release/${result.runId}`}>{time}</Link>;
}

function Covered({ story: { covers, lookbackId } }: { story: FailureStory }) {
  const { format } = useSession();
  const cases = covers.flatMap((run) => run.subjects.map((subject) => ({ run, subject })));
  if (cases.length === 0) return <p>{words.coversNone}</p>;
  return (
    <>
      <div className="table-place">
        <table>
          <thead>
            <tr>
              <th scope="col">{words.specimen}</th>
              <th scope="col">{words.run}</th>
              <th scope="col">{words.released}</th>
              <th scope="col">{words.todo}</th>
              <th scope="col">{words.decided}</th>
            </tr>
          </thead>
          <tbody>
            {cases.map(({ run, subject }) => (
              <tr key={`${run.runId} ${subject.subjectId}`}>
                <th scope="row">
                  <span className="label">{shortLabel(subject.label)}</span>{' '}
                  <span className="small">{subject.description}</span>
                </th>
                <td data-label={words.run}>
                  <Link href={`/release/${run.runId}`} className="figures">
                    {format.dayAndClock(run.startedAt)}
                  </Link>
                </td>
                <td data-label={words.released}>
                  {subject.releases.length === 0
                    ? words.notReleased
                    : subject.releases.map(({ id, kind, at, name }) => (
                        <p key={id}>
                          {kind}, {format.dayAndClock(at)}, {name}
                        </p>
                      ))}
                </td>
                <td data-label={words.todo}>{subject.todo}</td>
                <td data-label={words.decided}>
                  {subject.outcome === null ? <Tag frame="double">{words.undecided}</Tag> : subject.outcome}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {lookbackId !== null && (
        <p>
          <Link href={`/lookbacks/${lookbackId}`}>{words.lookback}</Link>
        </p>
      )}
    </>
  );
}

/** Cause, action, repeat and signature in their order, what is still to come among them. */
function Course({ story }: { story: FailureStory }) {
  const { may, format } = useSession();
  const [open, setOpen] = useState<'cause' | 'action' | 'repeat' | 'close' | null>(null);
  const done = story.state !== 'open';
  const close = (): void => setOpen(null);
  return (
    <>
      <ol className="course">
        {FAILURE_ACTS.map((kind) => {
          const acts = story.acts.filter((act) => act.kind === kind);
          return (
            <li key={kind} className={acts.length === 0 ? 'course-open' : ''}>
              <h3>{words.steps[kind]}</h3>
              {acts.length === 0 && <p className="small">{words.todoNow[kind]}</p>}
              {acts.map((act) => (
                <div key={act.id}>
                  <p>{act.text}</p>
                  <p className="small">
                    {act.person}, <span className="figures">{format.dayAndClock(act.at)}</span>
                  </p>
                  {act.cases?.map(({ runId, subjectId, meaning }) => (
                    <p key={`${runId} ${subjectId}`} className="small">
                      {caseLabel(story, runId, subjectId)}: {meaning}
                    </p>
                  ))}
                  {act.signature && <SignatureBlock signature={act.signature} />}
                </div>
              ))}
              {!done && kind !== 'closed' && may('technician', 'manager', 'releaser', 'director') && (
                <Button look={acts.length === 0 ? 'plain' : 'quiet'} onPress={() => setOpen(kind)}>
                  {words.record[kind]}
                </Button>
              )}
              {!done && kind === 'closed' && may('releaser', 'director') && (
                <Button look="main" onPress={() => setOpen('close')}>
                  {words.close}
                </Button>
              )}
            </li>
          );
        })}
      </ol>
      {open === 'close' && <CloseSheet story={story} onClose={close} />}
      {open !== null && open !== 'close' && <ActSheet story={story} kind={open} onClose={close} />}
    </>
  );
}

function caseLabel({ covers }: FailureStory, runId: string, subjectId: string): string {
  const subject = covers.find((run) => run.runId === runId)?.subjects.find((each) => each.subjectId === subjectId);
  return subject ? shortLabel(subject.label) : subjectId;
}
