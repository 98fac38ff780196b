import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { asWords } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SignatureBlock } from '../parts/Signing.js';
import { useBeat } from '../parts/ticker.js';
import { ActSheet, CloseSheet, ReopenSheet, type WorkingAct } from './act-sheets.js';
import './deviations.css';
import { DeviationTags, DueLine } from './parts.js';
import { type DeviationAct, type DeviationAction, type DeviationStory, useDeviation } from './queries.js';
import { DEVIATIONS } from './words.js';

const words = DEVIATIONS.story;
const above = { href: '/deviations', word: DEVIATIONS.title };

/** What is being entered, and of which action. */
export type Asked = { kind: WorkingAct | 'closed' | 'reopened'; actionId?: string };

/** One deviation: what happened, what is to be done now, its course to the end, and everything that was done. */
export default function DeviationScreen({ deviation: id = '' }: ScreenProps) {
  const { data: story, error, refetch } = useDeviation(id);
  const [asked, setAsked] = useState<Asked | null>(null);
  if (!story) {
    return (
      <Page title={DEVIATIONS.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const close = (): void => setAsked(null);
  return (
    <Page
      title={`${DEVIATIONS.number(story.number)}: ${story.title}`}
      above={above}
      about={<DeviationTags deviation={story} />}
    >
      {story.state !== 'closed' && (
        <Part title={words.now}>
          {story.due.map((item) => (
            <DueLine key={item.actId} item={item} />
          ))}
          {story.due.length === 0 && <p>{story.state === 'effective' ? words.help.end : DEVIATIONS.nobody}</p>}
          <Ask kinds={['assigned']} onAsk={setAsked} />
        </Part>
      )}
      <Happened story={story} onAsk={setAsked} />
      <Part title={words.course}>
        <Course story={story} onAsk={setAsked} />
      </Part>
      <Part title={words.history}>
        <ol className="plain-list deviation-history">
          {story.acts.map((act) => (
            <li key={act.id}>
              <Told act={act} />
            </li>
          ))}
        </ol>
      </Part>
      <p className="small">{DEVIATIONS.caution}</p>
      {asked?.kind === 'closed' && <CloseSheet story={story} onClose={close} />}
      {asked?.kind === 'reopened' && <ReopenSheet story={story} onClose={close} />}
      {asked !== null && asked.kind !== 'closed' && asked.kind !== 'reopened' && (
        <ActSheet story={story} kind={asked.kind} actionId={asked.actionId} onClose={close} />
      )}
    </Page>
  );
}

/** Buttons for what a person may add, unless they only read. */
function Ask({
  kinds,
  actionId,
  onAsk,
}: {
  kinds: readonly WorkingAct[];
  actionId?: string;
  onAsk: (asked: Asked) => void;
}) {
  const { may } = useSession();
  if (!may('technician', 'releaser', 'manager', 'director')) return null;
  return (
    <div className="row-ways">
      {kinds.map((kind) => (
        <Button key={kind} onPress={() => onAsk({ kind, ...(actionId !== undefined && { actionId }) })}>
          {DEVIATIONS.sheet.buttons[kind]}
        </Button>
      ))}
    </div>
  );
}

function Happened({ story, onAsk }: { story: DeviationStory; onAsk: (asked: Asked) => void }) {
  const { format } = useSession();
  const { what, person, at, about, path, runId, effect, owner, step, state } = story;
  return (
    <Part title={words.happened}>
      <p className="deviation-what">{what}</p>
      <dl className="facts">
        <div>
          <dt>{words.openedBy}</dt>
          <dd>
            {person}, <span className="figures">{format.dayAndClock(at)}</span>
          </dd>
        </div>
        <div>
          <dt>{words.from}</dt>
          <dd>
            {path === null ? DEVIATIONS.subjects[story.subject] : <Link href={path}>{format.within(about ?? '')}</Link>}
          </dd>
        </div>
        {runId !== null && story.subject !== 'finding' && (
          <div>
            <dt>{words.run}</dt>
            <dd>
              <Link href={`/release/${runId}`}>{words.toRun}</Link>
            </dd>
          </div>
        )}
        {step !== null && (
          <div>
            <dt>{words.step}</dt>
            <dd>{asWords(step)}</dd>
          </div>
        )}
        <div>
          <dt>{words.effect}</dt>
          <dd>
            {DEVIATIONS.effects[effect].name}
            <span className="small"> {DEVIATIONS.effects[effect].more}</span>
          </dd>
        </div>
        {owner !== null && (
          <div>
            <dt>{words.owner}</dt>
            <dd>{owner}</dd>
          </div>
        )}
      </dl>
      {state !== 'closed' && <Ask kinds={['effect']} onAsk={onAsk} />}
    </Part>
  );
}

/** Correction, cause, action, proof and end in their order; what is still to come stands among them. */
function Course({ story, onAsk }: { story: DeviationStory; onAsk: (asked: Asked) => void }) {
  const { may } = useSession();
  const { state, acts, actions, check } = story;
  const open = state !== 'closed';
  const since = acts.findLastIndex(({ kind }) => kind === 'reopened') + 1;
  const round = acts.slice(since);
  const of = (kind: DeviationAct['kind']): DeviationAct[] => round.filter((act) => act.kind === kind);
  const corrections = acts.filter(({ kind }) => kind === 'correction');
  const end = of('closed')[0];
  const early = useBeat(({ at }) => check !== null && at < check.notBefore);
  const actionOpen = actions.some(({ doneAt }) => doneAt === null);
  return (
    <>
      {since > 0 && <p className="small">{words.again}</p>}
      <ol className="deviation-course">
        <Stage name="correction" reached={corrections.length > 0}>
          {corrections.map((act) => (
            <Said key={act.id} act={act} />
          ))}
          {open && <Ask kinds={['correction']} onAsk={onAsk} />}
        </Stage>
        <Stage name="cause" reached={of('cause').length > 0}>
          {of('cause').map((act) => (
            <Said key={act.id} act={act} />
          ))}
          {open && <Ask kinds={['cause']} onAsk={onAsk} />}
        </Stage>
        <Stage name="action" reached={actions.length > 0}>
          {actions.map((action) => (
            <Action key={action.id} action={action} ask={open && action.doneAt === null} onAsk={onAsk} />
          ))}
          {open && state !== 'opened' && <Ask kinds={['action']} onAsk={onAsk} />}
        </Stage>
        <Stage name="check" reached={of('checked').length > 0}>
          {of('checked').map((act) => (
            <Said key={act.id} act={act} />
          ))}
          {check && <Planned check={check} />}
          {open && actions.length > 0 && (
            <Ask
              kinds={check && !actionOpen && !early ? ['checked', 'check planned'] : ['check planned']}
              onAsk={onAsk}
            />
          )}
        </Stage>
        <Stage name="end" reached={!open}>
          {end && (
            <>
              {end.ended && <p>{DEVIATIONS.ends[end.ended].name}</p>}
              <p>{end.text}</p>
              {end.signature && <SignatureBlock signature={end.signature} />}
            </>
          )}
          {open && may('manager', 'director') && (
            <Button look={state === 'effective' ? 'main' : 'plain'} onPress={() => onAsk({ kind: 'closed' })}>
              {words.close}
            </Button>
          )}
          {!open && may('technician', 'releaser', 'manager', 'director') && (
            <Button onPress={() => onAsk({ kind: 'reopened' })}>{words.reopen}</Button>
          )}
        </Stage>
      </ol>
    </>
  );
}

function Stage({
  name,
  reached,
  children,
}: {
  name: keyof typeof words.steps;
  reached: boolean;
  children: React.ReactNode;
}) {
  return (
    <li className={reached ? '' : 'deviation-to-come'}>
      <h3>{words.steps[name]}</h3>
      <p className="small">{words.help[name]}</p>
      {children}
    </li>
  );
}

function Said({ act }: { act: DeviationAct }) {
  const { format } = useSession();
  return (
    <div>
      <p>
        {act.causeKind && <Tag>{DEVIATIONS.causes[act.causeKind]}</Tag>}
        {act.effective !== undefined && (
          <Tag frame={act.effective ? 'plain' : 'full'}>{act.effective ? words.effective : words.ineffective}</Tag>
        )}{' '}
        {act.text}
      </p>
      <p className="small">
        {act.person}, <span className="figures">{format.dayAndClock(act.at)}</span>
      </p>
    </div>
  );
}

function Action({ action, ask, onAsk }: { action: DeviationAction; ask: boolean; onAsk: (asked: Asked) => void }) {
  const { format } = useSession();
  const { id, text, owner, due, doneAt, doneBy } = action;
  return (
    <div className="deviation-action">
      <p>{text}</p>
      <p className="small">
        {owner}, {DEVIATIONS.by(format.lastDay(due))}
        {doneAt !== null && ` · ${words.doneBy(doneBy ?? '', format.dayAndClock(doneAt))}`}
      </p>
      {ask && <Ask kinds={['done', 'dropped']} actionId={id} onAsk={onAsk} />}
    </div>
  );
}

function Planned({ check }: { check: NonNullable<DeviationStory['check']> }) {
  const { format } = useSession();
  return (
    <div>
      <p>
        <strong>{words.criterion}:</strong> {check.criterion}
      </p>
      <p className="small">
        {check.owner}, {DEVIATIONS.notBefore(format.day(check.notBefore))}, {DEVIATIONS.by(format.lastDay(check.due))}
      </p>
    </div>
  );
}

/** One act in the history, in full. */
function Told({ act }: { act: DeviationAct }) {
  const { format } = useSession();
  const facts = [
    act.effect && DEVIATIONS.effects[act.effect].name,
    act.causeKind && DEVIATIONS.causes[act.causeKind],
    act.effective !== undefined && (act.effective ? words.effective : words.ineffective),
    act.ended && DEVIATIONS.ends[act.ended].name,
    act.owner,
    act.notBefore && DEVIATIONS.notBefore(format.day(act.notBefore)),
    act.due && DEVIATIONS.by(format.lastDay(act.due)),
  ].filter((fact): fact is string => Boolean(fact));
  return (
    <>
      <p>
        <strong>{DEVIATIONS.acts[act.kind]}</strong>{' '}
        <span className="small">
          <span className="figures">{format.dayAndClock(act.at)}</span>, {act.person}
        </span>
      </p>
      {facts.length > 0 && <p className="small">{facts.join(' · ')}</p>}
      {act.text !== undefined && <p>{act.text}</p>}
    </>
  );
}
