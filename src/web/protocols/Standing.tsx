import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { FigureStatus } from '../../core/protocol/protocol.js';
import { api, got } from '../api.js';
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

/** Where figures come from, opened on demand. */
export function Sources({ keys }: { keys: readonly string[] }) {
  const [open, setOpen] = useState(false);
  const { data } = useQuery({
    queryKey: ['sources'],
    queryFn: () => got(api.GET('/api/sources')),
    staleTime: Number.POSITIVE_INFINITY,
    enabled: open,
  });
  if (keys.length === 0) return <span className="small">{PROTOCOLS.page.noSource}</span>;
  return (
    <details className="sources" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary>{PROTOCOLS.page.sourcesOf(keys.length)}</summary>
      <ul>
        {keys.map((key) => (
          <li key={key}>
            <code>{key}</code> {data?.find((source) => source.key === key)?.citation}
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
