import type { FigureStatus } from '../../core/protocol/protocol.js';
import type { ProtocolLine } from '../api.paths.js';
import { Tag } from '../parts/Page.js';
import { useSession } from '../app/session.js';
import { PROTOCOLS } from './words.js';

/** How far a figure can be trusted: what nobody has set yet stands out, what a source says stays quiet. */
export function FigureStanding({ status }: { status: FigureStatus }) {
  if (status === 'proposal') return <Tag frame="double">{status}</Tag>;
  if (status === 'set by this laboratory') return <Tag>{PROTOCOLS.statuses[status]}</Tag>;
  return <span className="small">{status}</span>;
}

/** Keys of sources, opened on demand. */
export function Sources({ keys }: { keys: readonly string[] }) {
  if (keys.length === 0) return <span className="small">{PROTOCOLS.page.noSource}</span>;
  return (
    <details className="sources">
      <summary>{PROTOCOLS.page.sourcesOf(keys.length)}</summary>
      <ul>
        {keys.map((key) => (
          <li key={key}>
            <code>{key}</code>
          </li>
        ))}
      </ul>
    </details>
  );
}

const FRAMES = {
  draft: 'soft',
  reviewed: 'soft',
  approved: 'soft',
  superseded: 'soft',
  retired: 'soft',
} as const;

/** A revision's state, and whether runs start on it now. */
export function RevisionTags({
  revision: { state, inForce, effectiveFrom, openProposals },
}: {
  revision: Omit<ProtocolLine['revisions'][number], 'id' | 'number'>;
}) {
  const { format } = useSession();
  return (
    <>
      {inForce ? <Tag>{PROTOCOLS.inForce}</Tag> : <Tag frame={FRAMES[state]}>{PROTOCOLS.states[state]}</Tag>}
      {effectiveFrom !== null && state === 'approved' && (
        <span className="small figures">
          {(inForce ? PROTOCOLS.since : PROTOCOLS.from)(format.dayAndClock(effectiveFrom))}
        </span>
      )}
      {openProposals > 0 && state !== 'retired' && <Tag frame="double">{PROTOCOLS.proposals(openProposals)}</Tag>}
    </>
  );
}
