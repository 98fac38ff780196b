import { useState } from 'react';
import { useSession } from '../app/session.js';
import type { ControlPlan, Plan, PlanVersion } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { asWords } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ApproveSheet } from './ApproveSheet.js';
import './controls.css';
import { isBeyond, nameOfClock } from './plan.js';
import { PlanEditor } from './PlanEditor.js';
import { usePlan } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.plan;

/** The plan of one protocol: what counts, what the rules ask, and the laboratory's own versions. */
export default function PlanScreen({ protocol = '' }: { protocol?: string }) {
  const { may, format } = useSession();
  const { data, error, refetch } = usePlan(protocol);
  const [editing, setEditing] = useState(false);
  const above = { href: '/controls/plans', word: words.above };
  if (!data) {
    return (
      <Page title={words.above} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const current = data.versions.find(({ inForce }) => inForce);
  if (editing) {
    return (
      <Page title={data.title} above={above}>
        <PlanEditor plan={data} onClose={() => setEditing(false)} />
      </Page>
    );
  }
  return (
    <Page
      title={data.title}
      above={above}
      about={
        <p>
          {current ? words.countsOwn(current.number, format.day(current.effectiveFrom ?? '')) : words.countsPublished}
        </p>
      }
      ways={
        may('manager', 'director') && (
          <Button onPress={() => setEditing(true)}>{data.versions.length > 0 ? words.editAgain : words.edit}</Button>
        )
      }
    >
      <Part title={words.counts}>
        <UseLine plan={data.counting} />
        <PlanTable plan={data.counting} published={data.published} />
      </Part>
      <Part title={words.versions}>
        {data.versions.length === 0 && <p>{words.noVersions}</p>}
        <ul className="lines">
          {data.versions.map((version) => (
            <li key={version.id}>
              <Version version={version} plan={data} />
            </li>
          ))}
        </ul>
      </Part>
      {current && (
        <Part title={words.floor} about={words.floorAbout}>
          <PlanTable plan={data.published} published={data.published} />
        </Part>
      )}
      {!current && <p className="small">{words.floorAbout}</p>}
      <p className="small">{CONTROLS.caution}</p>
    </Page>
  );
}

function UseLine({ plan: { use } }: { plan: ControlPlan }) {
  const counts = use.counts === 'session' ? words.useCounts.session(use.hours ?? 0) : words.useCounts[use.counts];
  return (
    <p>
      <strong>{words.use}:</strong> {use.words} <span className="small">({counts})</span>
    </p>
  );
}

function PlanTable({ plan, published }: { plan: ControlPlan; published: ControlPlan }) {
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.control}</th>
            <th scope="col">{words.material}</th>
            <th scope="col">{words.clock}</th>
            <th scope="col">{words.reading}</th>
          </tr>
        </thead>
        <tbody>
          {plan.controls.map((control) => (
            <tr key={control.id}>
              <th scope="row">
                {asWords(control.id)} <span className="small">{CONTROLS.kinds[control.kind]}</span>{' '}
                {!control.required && <Tag frame="soft">{words.advised}</Tag>}
              </th>
              <td data-label={words.material}>
                {control.material}
                <br />
                <span className="small">{control.expected}</span>
              </td>
              <td data-label={words.clock}>
                <ul className="plan-clocks">
                  {control.clocks.map((clock) => (
                    <li key={nameOfClock(clock)}>
                      {nameOfClock(clock)}{' '}
                      {isBeyond(published, control, clock) && <Tag frame="soft">{words.stricter}</Tag>}
                      <br />
                      <span className="small">{clock.clause}</span>
                    </li>
                  ))}
                </ul>
              </td>
              <td data-label={words.reading}>
                {control.criteria.length === 0 && words.usualCriteria}
                <ul className="plan-clocks">
                  {control.criteria.map((criterion) => (
                    <li key={criterion.code}>{criterionText(criterion)}</li>
                  ))}
                  {control.secondReader && <li>{words.second}</li>}
                  {control.pictures && <li>{words.pictures}</li>}
                </ul>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function criterionText({ title, grades, least }: ControlPlan['controls'][number]['criteria'][number]): string {
  if (grades === null || least === null) return words.passOrFail(title);
  return words.leastOf(title, least, grades[least] ?? '');
}

function Version({ version, plan }: { version: PlanVersion; plan: Plan }) {
  const { may, format } = useSession();
  const [approving, setApproving] = useState(false);
  const [shown, setShown] = useState(false);
  const { number, inForce, effectiveFrom, person, at, note, reason, approvedBy, approvedAt } = version;
  const newer = plan.versions.some((other) => other.number > number && other.effectiveFrom !== null);
  const standing = inForce
    ? words.inForce
    : newer
      ? words.superseded
      : effectiveFrom === null
        ? words.draft
        : words.approved(format.day(effectiveFrom));
  return (
    <>
      <p className="tag-line">
        <strong>{words.version(number)}</strong>
        <Tag frame={inForce ? 'plain' : newer ? 'soft' : 'double'}>{standing}</Tag>
      </p>
      <p>
        {note} <span className="small">{words.by(person ?? '', format.dayAndClock(at))}</span>
      </p>
      {reason !== null && approvedAt !== null && (
        <p>
          {reason !== note && reason}{' '}
          <span className="small">{words.by(approvedBy ?? '', format.toTheSecond(approvedAt))}</span>
        </p>
      )}
      <div className="decisions-ways tag-line">
        {effectiveFrom === null && !newer && may('director') && (
          <Button look="main" onPress={() => setApproving(true)}>
            {words.approve}
          </Button>
        )}
        <Button look="quiet" onPress={() => setShown(!shown)}>
          {shown ? words.hide : words.show}
        </Button>
      </div>
      {shown && (
        <>
          <UseLine plan={version.content} />
          <PlanTable plan={version.content} published={plan.published} />
        </>
      )}
      {approving && <ApproveSheet protocol={plan.protocolId} version={version} onClose={() => setApproving(false)} />}
    </>
  );
}
