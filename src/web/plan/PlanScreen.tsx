import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form as AriaForm } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { AcceptedPlan, PlanAsked, PlanDraft } from '../api.paths.js';
import { useSession } from '../app/session.js';
import { useBench } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { benchClock } from '../parts/ticker.js';
import { askedOf, faultsOf, type Form, formFor } from './asked.js';
import { AskedFields } from './AskedFields.js';
import { Drawing } from './Drawing.js';
import { Moments } from './Moments.js';
import './plan.css';
import { PLAN_KEY, useCurrentPlan } from './queries.js';
import { PLAN as words } from './words.js';

/** Which rack to start when: what is asked, the proposal, and the plan that was accepted. */
export default function PlanScreen() {
  const { data, error, refetch } = useCurrentPlan();
  return (
    <Page title={words.title} above={{ href: '/', word: words.toBench }} about={<p>{words.about}</p>}>
      {data ? <Planning plan={data.plan} /> : <Waiting error={error} onRetry={() => void refetch()} />}
    </Page>
  );
}

function Planning({ plan }: { plan: AcceptedPlan | null }) {
  const queries = useQueryClient();
  const { may, format, person } = useSession();
  const { runs: standing } = useBench();
  const going = standing?.length ?? 0;
  const [form, setForm] = useState(() => formFor(plan, person.name, Date.parse(benchClock.now().at)));
  const [made, setMade] = useState<{ asked: PlanAsked; draft: PlanDraft } | null>(null);
  const draft = useChange(
    ({ asked }: { asked: PlanAsked; form: Form }) => got(api.POST('/api/plans/drafts', { body: asked })),
    (answer, { asked }) => {
      setMade({ asked, draft: answer });
      say(answer.says);
    },
  );
  const accept = useChange(
    ({ asked, draft: { plannedAt, runs } }: { asked: PlanAsked; draft: PlanDraft }, key) =>
      got(
        api.POST('/api/plans', {
          body: {
            ...asked,
            plannedAt,
            runs: runs.map(({ id, moments }) => ({
              id,
              startsAt: moments.map(({ startsAt }) => startsAt),
              hands: moments.map(({ hands }) => hands),
            })),
          },
          ...once(key),
        }),
      ),
    (current) => {
      setMade(null);
      say(words.accepted);
      queries.setQueryData(PLAN_KEY, current);
    },
  );
  const asked = askedOf(form, going);
  const faults = faultsOf(draft.error, draft.variables?.input.form);
  return (
    <>
      {may('technician', 'releaser', 'manager', 'director') && (
        <AriaForm
          className="plan-form"
          onSubmit={(event) => {
            event.preventDefault();
            if (asked) draft.ask({ asked, form });
          }}
        >
          <AskedFields form={form} going={going} faults={faults} onChange={setForm} />
          {!asked && <p>{words.missing}</p>}
          <ProblemNote problem={draft.error} isBeside={faults.isBeside} />
          <Button look="main" type="submit" isDisabled={!asked || draft.isPending}>
            {draft.isPending ? words.making : words.make}
          </Button>
        </AriaForm>
      )}
      {made && (
        <Part
          title={made.draft.answer === 'plan' ? words.proposal : words.noPlan}
          about={
            <p>
              {made.draft.endsAt !== null && `${words.ends(format.clock(made.draft.endsAt))} `}
              {made.draft.says}
            </p>
          }
        >
          {made.draft.answer === 'plan' && (
            <>
              <Drawing runs={made.draft.runs} />
              <ProblemNote problem={accept.error} />
              <div className="row-ways">
                <Button look="main" isDisabled={accept.isPending} onPress={() => accept.ask(made)}>
                  {words.accept}
                </Button>
              </div>
              <Moments runs={made.draft.runs} />
            </>
          )}
        </Part>
      )}
      {plan ? (
        <Part
          title={words.current}
          about={
            <p>
              {words.acceptedBy(plan.person, format.dayAndClock(plan.at))} {words.replan}
            </p>
          }
        >
          <Drawing runs={plan.runs} />
          {!made && <Moments runs={plan.runs} />}
        </Part>
      ) : (
        !made && (
          <Nothing title={words.none}>
            <p>{words.noneHelp}</p>
          </Nothing>
        )
      )}
    </>
  );
}
