import { useState } from 'react';
import type { Judgement, PointJudgement } from '../../core/gate/judge.js';
import { holding } from '../../core/release/release.js';
import { pointStanding, type PointStanding } from '../../core/release/standing.js';
import { eventsOf, type RunState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { useSession } from '../app/session.js';
import type { Release } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { Tag } from '../parts/Page.js';
import { findingAnchor, ruleTitle, WeightMark } from './FindingList.js';
import { Hold } from './Hold.js';
import { Released } from './Released.js';
import { ReleaseSheet } from './ReleaseSheet.js';
import { RELEASE } from './words.js';

const words = RELEASE.verdicts;

/** From this many on, a label is sooner found by typing it. */
const MANY = 9;

/** For each specimen or slide: whether it may leave at each point, what it waits for, and what left already. */
export function Verdicts({
  run,
  state,
  judgement,
  releases,
}: {
  run: RunView;
  state: RunState;
  judgement: Judgement;
  releases: readonly Release[];
}) {
  const [wanted, setWanted] = useState('');
  if (judgement.subjects.length === 0) return <p>{words.none}</p>;
  const confirmed = new Set(eventsOf(state.events, 'identity-confirmed').map(({ data }) => data.subject));
  const shown = judgement.subjects.filter(({ label }) => label.toLowerCase().includes(wanted.trim().toLowerCase()));
  return (
    <>
      {judgement.subjects.length >= MANY && <Field label={words.filter} value={wanted} onChange={setWanted} />}
      <ul className="verdicts">
        {shown.map(({ subjectId, label, points }) => (
          <li key={subjectId} className="verdict-card">
            <div>
              <h3 className="label">{shortLabel(label)}</h3>
              <p className="small">
                {run.subjects.find((subject) => subject.subjectId === subjectId)?.description} ·{' '}
                {words.identity(confirmed.has(subjectId))}
              </p>
            </div>
            {points.map((point) => (
              <Point
                key={point.point}
                run={run}
                subjectId={subjectId}
                label={label}
                point={point}
                releases={releases.filter((each) => each.subjectId === subjectId && each.point === point.point)}
              />
            ))}
          </li>
        ))}
      </ul>
    </>
  );
}

function Point({
  run,
  subjectId,
  label,
  point,
  releases,
}: {
  run: RunView;
  subjectId: string;
  label: string;
  point: PointJudgement;
  releases: readonly Release[];
}) {
  const { may } = useSession();
  const [releasing, setReleasing] = useState<'plain' | 'exception' | Release | null>(null);
  const standing = pointStanding(point, subjectId, releases);
  const open = point.verdict === 'clear';
  return (
    <section className={`point point-${point.verdict}`} aria-label={`${shortLabel(label)}: ${point.title}`}>
      <p className="point-head">
        <strong>{point.title}</strong> <StandingTag standing={standing} />
      </p>
      {releases.map((release) => (
        <Released key={release.id} release={release} onAmend={() => setReleasing(release)} />
      ))}
      {open ? <Clear point={point} /> : <Held point={point} standing={standing} />}
      {open && may('releaser') && (
        <div>
          <Button look={releases.length === 0 ? 'main' : 'quiet'} onPress={() => setReleasing('plain')}>
            {releases.length === 0 ? words.open : words.openMore}
          </Button>
        </div>
      )}
      {standing === 'held' && may('releaser') && (
        <div>
          <Button look="quiet" onPress={() => setReleasing('exception')}>
            {RELEASE.form.exception.open}
          </Button>
        </div>
      )}
      {standing !== 'closed' && standing !== 'not reached' && <Hold runId={run.id} subjectId={subjectId} />}
      {open && !may('releaser') && releases.length === 0 && <p className="small">{words.notYours}</p>}
      {releasing && (
        <ReleaseSheet
          run={run}
          subjectId={subjectId}
          label={label}
          point={point}
          released={releases.map(({ kind }) => kind)}
          amends={typeof releasing === 'object' ? releasing : null}
          onClose={() => setReleasing(null)}
        />
      )}
    </section>
  );
}

const FRAMES = {
  clear: 'plain',
  held: 'full',
  'not reached': 'soft',
  released: 'plain',
  closed: 'soft',
} as const satisfies Record<PointStanding, string>;

export function StandingTag({
  standing,
  count = 1,
  counted = count > 1,
}: {
  standing: PointStanding;
  count?: number;
  /** Says how many even of one, where others stand otherwise. */
  counted?: boolean;
}) {
  const word = RELEASE.standing[standing];
  return <Tag frame={FRAMES[standing]}>{counted ? RELEASE.run.counted(count, word) : word}</Tag>;
}

function Clear({ point: { findings } }: { point: PointJudgement }) {
  const notes = findings.filter(({ settled, weight }) => weight === 'note' || settled).length;
  return <p className="small">{notes === 0 ? words.clear : words.clearNotes(notes)}</p>;
}

function Held({ point, standing }: { point: PointJudgement; standing: PointStanding }) {
  const held = holding(point.findings).filter(({ rule }) => standing !== 'not reached' || rule !== 'point-not-reached');
  return (
    <>
      {standing === 'not reached' && <p className="small">{words.notReached}</p>}
      {standing === 'closed' && <p className="small">{words.closed}</p>}
      {held.length > 0 && (
        <>
          <p className="small">{words.heldBy}</p>
          <ul className="held-by">
            {held.map((finding) => (
              <li key={finding.id}>
                <WeightMark finding={finding} /> <a href={`#${findingAnchor(finding.id)}`}>{ruleTitle(finding.rule)}</a>
              </li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}
