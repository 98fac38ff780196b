import { Link } from 'react-aria-components';
import type { PlanSummary } from '../api.paths.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { WORDS } from '../words.js';
import './controls.css';
import { nameOfClock } from './plan.js';
import { usePlans } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.plans;

/** Every approved protocol with the plan that counts for it. */
export default function PlansScreen() {
  const { data, error, refetch } = usePlans();
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/protocols', word: WORDS.begin.protocols }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {data?.map((plan) => (
          <li key={plan.protocolId}>
            <PlanLine plan={plan} />
          </li>
        ))}
      </ul>
    </Page>
  );
}

function PlanLine({ plan: { protocolId, title, ownPlan, waiting, inUse, controls } }: { plan: PlanSummary }) {
  return (
    <div className="plan-line">
      <div>
        <p className="line-title">
          <Link href={`/controls/plans/${protocolId}`}>{title}</Link>
        </p>
        <p className="tag-line">
          <Tag frame={ownPlan === null ? 'soft' : 'plain'}>
            {ownPlan === null ? words.published : words.own(ownPlan)}
          </Tag>
          {waiting !== null && <Tag frame="double">{words.waiting(waiting)}</Tag>}
          {!inUse && <Tag frame="soft">{words.notInUse}</Tag>}
        </p>
      </div>
      {controls.length === 0 ? (
        <p className="small">{words.none}</p>
      ) : (
        <ul className="plan-controls">
          {controls.map(({ id, kind, clocks }) => (
            <li key={id}>
              <strong>{CONTROLS.control(id, CONTROLS.kinds[kind])}</strong>
              <span className="small">: {clocks.map(nameOfClock).join('; ')}</span>
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
