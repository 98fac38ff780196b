import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link } from 'react-aria-components';
import { KNOW_THE_PATIENT } from '../../core/people/roles.js';
import { runState } from '../../core/run/state.js';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { DayControls } from '../control-results/DayControls.js';
import { useSettled } from '../offline/settling.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { PdfLink, runReportAt } from '../parts/PdfLink.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { FindingList } from './FindingList.js';
import './release.css';
import { judgementQuery, releasesQuery, useRun } from './run.js';
import { SideBySide } from './SideBySide.js';
import { allFindings } from './standing.js';
import { Timeline } from './Timeline.js';
import { Answers, Controls, Tray } from './Tray.js';
import { Verdicts } from './Verdicts.js';
import { RELEASE } from './words.js';

const above = { href: '/release', word: RELEASE.title };

/** Everything that a person needs who lets a run's results out, on one page. */
export default function RunScreen({ run: id = '' }: ScreenProps) {
  const { format, may } = useSession();
  const run = useRun(id);
  const judgement = useQuery(judgementQuery(id));
  const releases = useQuery(releasesQuery(id));
  const view = run.data;
  const state = useMemo(() => view && runState(view.revision.content, view.events), [view]);
  // A device that was used at the bench before may be the desk now.
  useSettled(useMemo(() => (view ? [view] : []), [view]));
  if (!view || !state) {
    return (
      <Page title={RELEASE.title} above={above}>
        <Waiting error={run.error} onRetry={() => void run.refetch()} />
      </Page>
    );
  }
  const findings = judgement.data ? allFindings(judgement.data) : [];
  const { content, number, id: revisionId } = view.revision;
  return (
    <Page
      title={content.title}
      above={above}
      about={
        <p>
          <Link href={`/protocols/${revisionId}`}>{RELEASE.run.revision(number)}</Link> · {RELEASE.run.at(view.station)}{' '}
          · {RELEASE.run.purposes[view.purpose]} · {RELEASE.run.started(format.dayAndClock(view.startedAt))} ·{' '}
          {view.people[view.personId]}
        </p>
      }
    >
      <div className="release">
        <div className="release-verdicts">
          <Part title={RELEASE.verdicts.title} about={RELEASE.verdicts.about}>
            <ProblemNote problem={judgement.error ?? releases.error} />
            {judgement.data && releases.data ? (
              <Verdicts run={view} state={state} judgement={judgement.data} releases={releases.data} />
            ) : (
              <p className="opening">{RELEASE.run.judging}</p>
            )}
            {judgement.data && (
              <p className="small">{RELEASE.run.judged(judgement.data.judgedTo, judgement.data.rules)}</p>
            )}
            <p className="small">{RELEASE.caution}</p>
            <p>
              <PdfLink href={runReportAt(id)}>{RELEASE.report.open}</PdfLink>{' '}
              {may(...KNOW_THE_PATIENT) && (
                <PdfLink href={`${runReportAt(id)}?identifiers=included`}>{RELEASE.report.identified}</PdfLink>
              )}{' '}
              <a
                className="button button-quiet"
                href={`/api/runs/${encodeURIComponent(id)}/fhir`}
                title={RELEASE.report.fhirAbout}
                download
              >
                {RELEASE.report.fhir}
              </a>
            </p>
          </Part>
        </div>
        <div className="release-facts">
          {judgement.data && (
            <Part title={RELEASE.findings.title} about={RELEASE.findings.about}>
              <FindingList run={view} state={state} findings={findings} />
            </Part>
          )}
          <Part title={RELEASE.controls.title} about={RELEASE.controls.about}>
            <Controls run={view} state={state} />
          </Part>
          <SideBySide run={view} />
          <DayControls run={view} />
          <Part title={RELEASE.timeline.title} about={RELEASE.timeline.about}>
            <Timeline run={view} state={state} findings={findings} />
          </Part>
          <Part title={RELEASE.containers.title} about={RELEASE.containers.about}>
            <Tray run={view} state={state} findings={findings} />
          </Part>
          <Part title={RELEASE.answers.title} about={RELEASE.answers.about}>
            <Answers run={view} state={state} />
          </Part>
        </div>
      </div>
    </Page>
  );
}
