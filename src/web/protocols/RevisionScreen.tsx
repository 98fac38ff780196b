import { type ReactNode, useEffect } from 'react';
import { Link } from 'react-aria-components';
import { navigate } from '../app/router.js';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import type { Revision, RevisionAct } from '../api.paths.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { SignatureBlock } from '../parts/Signing.js';
import { Decisions } from './Decisions.js';
import { Proposals } from './Proposals.js';
import { useProtocols, useRevision } from './protocols.js';
import './protocols.css';
import { FigureStanding, RevisionTags, Sources } from './Standing.js';
import { StepsTable } from './StepsTable.js';
import { Timeline } from './Timeline.js';
import { EDITOR } from './editor/words.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.page;
const above = { href: '/protocols', word: PROTOCOLS.title };

/** One revision: its figures with their standing, what is still open, and what was and can be decided about it. */
export default function RevisionScreen({ revision: id = '' }: ScreenProps) {
  const { may } = useSession();
  const { data, error, refetch } = useRevision(id);
  const loaded = data !== undefined;
  useEffect(() => {
    // The browser looks for the anchor before the page is there.
    if (loaded && location.hash !== '') document.getElementById(location.hash.slice(1))?.scrollIntoView();
  }, [loaded, id]);
  if (!data) {
    return (
      <Page title={PROTOCOLS.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const { content, openProposals } = data;
  const figures = content.change ? words.changeFigures(content.change) : '';
  const open = data.state === 'draft' || data.state === 'reviewed';
  return (
    <Page
      title={data.title}
      above={above}
      about={
        <p className="tag-line">
          {PROTOCOLS.revision(data.number)} <RevisionTags revision={{ ...data, openProposals: openProposals.length }} />
        </p>
      }
      ways={
        <>
          <CompareWith revision={data} />
          {may('manager', 'director') && (
            <Link href={`/protocols/${data.id}/edit`} className="button button-plain">
              {EDITOR.open}
            </Link>
          )}
        </>
      }
    >
      <Decisions key={data.id} revision={data} />
      <dl className="facts">
        <Fact name={words.purpose}>{content.purpose}</Fact>
        <Fact name={words.material}>
          {content.material.form}: {content.material.description}
          {content.material.irreplaceable && ` · ${words.irreplaceable}`}
        </Fact>
        <Fact name={words.expected}>{content.expected}</Fact>
        <Fact name={words.hash}>
          <code className="hash">{data.contentHash}</code>
        </Fact>
      </dl>
      <Part title={PROTOCOLS.timeline.title}>
        <Timeline protocol={content} />
      </Part>
      <Part title={words.steps} about={words.stepsAbout}>
        <StepsTable protocol={content} />
        <ul className="checks">
          {content.releasePoints.map(({ id: point, title, after }) => (
            <li key={point}>
              <p>
                <strong>{words.points}:</strong>{' '}
                {words.point(title, content.steps.find((step) => step.id === after)?.action ?? after)}
              </p>
            </li>
          ))}
        </ul>
      </Part>
      {open && (
        <Part title={PROTOCOLS.open.title} about={PROTOCOLS.open.about} id="proposals">
          <Proposals key={data.id} revision={data} />
        </Part>
      )}
      <Part title={words.controls}>
        <ControlList revision={data} />
      </Part>
      {content.cautions.length > 0 && (
        <Part title={words.cautions}>
          <ul className="checks">
            {content.cautions.map(({ agent, codes, signal, advice, source }) => (
              <li key={agent}>
                <p>
                  <strong>{agent}</strong> {signal !== 'none' && <Tag frame="double">{signal}</Tag>}{' '}
                  <span className="small">{codes.join(', ')}</span>
                </p>
                {advice && <p>{advice}</p>}
                <Sources keys={[source]} />
              </li>
            ))}
          </ul>
        </Part>
      )}
      <Part title={words.more}>
        <ul className="checks">
          {content.change && (
            <li>
              <p>
                <strong>{words.change}:</strong> {content.change.text} <FigureStanding status={content.change.status} />
              </p>
              {figures !== '' && <p className="small">{figures}</p>}
            </li>
          )}
          {content.cytology && (
            <li>
              <p>
                <strong>{words.cytology}:</strong> {words.cytologySays(content.cytology)}
              </p>
            </li>
          )}
          {content.storage?.map(({ text, status }) => (
            <li key={text}>
              <p>
                <strong>{words.storage}:</strong> {text} <FigureStanding status={status} />
              </p>
            </li>
          ))}
          {content.fitness.map(({ use, unfit, statement, sources }) => (
            <li key={use}>
              <p>
                <strong>{use}:</strong> {unfit && <Tag frame="double">{words.spent}</Tag>} {statement}
              </p>
              <Sources keys={sources} />
            </li>
          ))}
        </ul>
        <Sources keys={content.sources} />
      </Part>
      <Part title={words.history}>
        <ol className="checks">
          {data.acts.map((act) => (
            <li key={`${act.kind} ${act.at}`}>
              <Act act={act} />
            </li>
          ))}
        </ol>
      </Part>
    </Page>
  );
}

function Fact({ name, children }: { name: string; children: ReactNode }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}

function ControlList({ revision: { content } }: { revision: Revision }) {
  if (content.controls.length === 0) return <p>{words.noControls}</p>;
  return (
    <ul className="checks">
      {content.controls.map(({ id, kind, material, expected, when, required, status, sources }) => (
        <li key={id}>
          <p>
            <strong>{kind}</strong>{' '}
            <Tag frame={required ? 'plain' : 'soft'}>{required ? words.required : words.advised}</Tag> {when}{' '}
            <FigureStanding status={status} />
          </p>
          <p>
            {material}: {expected}
          </p>
          <Sources keys={sources} />
        </li>
      ))}
    </ul>
  );
}

function Act({ act: { kind, at, person, data } }: { act: RevisionAct }) {
  const { format } = useSession();
  return (
    <>
      <p>
        <strong>{words.acts[kind]}</strong> <span className="figures">{format.dayAndClock(at)}</span> ·{' '}
        {person ?? words.program}
      </p>
      {data.note && <p>{data.note}</p>}
      {data.effectiveFrom && <p>{words.effective(format.dayAndClock(data.effectiveFrom))}</p>}
      {data.verification && (
        <p>
          {words.verification(data.verification.reference)}: {data.verification.summary}
        </p>
      )}
      {data.newAssessment && <p>{words.newAssessment}</p>}
      {data.by && (
        <p>
          <Link href={`/protocols/${data.by}`}>{PROTOCOLS.states.superseded}</Link>
        </p>
      )}
      {data.signature && (
        <SignatureBlock
          signature={data.signature}
          act={data.signature.meaning === 'responsibility' ? 'retire' : undefined}
        />
      )}
    </>
  );
}

function CompareWith({ revision: { id, protocolId } }: { revision: Revision }) {
  const { data } = useProtocols();
  const others = data?.find((protocol) => protocol.id === protocolId)?.revisions.filter((each) => each.id !== id) ?? [];
  if (others.length === 0) return null;
  return (
    <SelectField
      label={words.compareWith}
      value=""
      empty={words.comparePick}
      onChange={(other) => navigate(`/protocols/${other}/compare/${id}`)}
      options={others.map((each) => ({
        id: each.id,
        name: `${PROTOCOLS.revision(each.number)}, ${each.inForce ? PROTOCOLS.inForce : PROTOCOLS.states[each.state]}`,
      }))}
    />
  );
}
