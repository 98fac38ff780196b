import type { CSSProperties } from 'react';
import { timelineOf, type StepSpan } from '../../core/protocol/timeline.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import { spanText, timerText } from '../parts/format.js';
import './timeline.css';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.timeline;

type Timed = Pick<Protocol, 'steps'>;

/** How long an axis has to be so that these protocols fit on it. */
function axisMs(protocols: readonly Timed[]): number {
  const ends = protocols.flatMap((each) =>
    timelineOf(each).steps.flatMap(({ toMs, latestMs }) => [toMs, latestMs ?? 0]),
  );
  return Math.max(1, ...ends);
}

/**
 * The steps of a protocol on one axis of time, as they follow one another when each takes its target; the axis is as long
 * as that of another protocol `beside` it needs, so that the two are compared by eye.
 */
export function Timeline({ protocol, beside }: { protocol: Timed; beside?: Timed }) {
  const { steps, targetMs, leastMs, mostMs, handsOnMs } = timelineOf(protocol);
  const wholeMs = axisMs(beside ? [protocol, beside] : [protocol]);
  const share = (ms: number): string => `${(100 * ms) / wholeMs}%`;
  return (
    <figure className="timeline">
      <ol>
        {protocol.steps.map((step, k) => {
          const span = steps[k] as StepSpan;
          return (
            <li key={step.id} className={step.end === 'eye' ? 'timeline-step timeline-eye' : 'timeline-step'}>
              <span className="timeline-name">
                {k + 1}. {step.action}
              </span>
              <span className="timeline-track" aria-hidden="true">
                {span.latestMs !== null && (
                  <Piece kind="window" from={span.earliestMs ?? span.fromMs} to={span.latestMs} share={share} />
                )}
                <Piece kind="lasts" from={span.fromMs} to={span.toMs} share={share} />
                <Piece kind="hands" from={span.fromMs} to={span.handsUntilMs} share={share} />
                <Piece kind="hands" from={span.handsFromMs} to={span.toMs} share={share} />
              </span>
              <span className="timeline-says small figures">{saysOf(span)}</span>
            </li>
          );
        })}
      </ol>
      <figcaption className="small">
        {words.whole(
          spanText(targetMs),
          spanText(leastMs),
          mostMs === null ? null : spanText(mostMs),
          spanText(handsOnMs),
        )}{' '}
        {words.legend}
      </figcaption>
    </figure>
  );
}

function Piece({
  kind,
  from,
  to,
  share,
}: {
  kind: 'window' | 'lasts' | 'hands';
  from: number;
  to: number;
  share: (ms: number) => string;
}) {
  if (to <= from) return null;
  const place: CSSProperties = { insetInlineStart: share(from), inlineSize: share(to - from) };
  return <span className={`timeline-${kind}`} style={place} />;
}

/** 'from 1:20, 20 s; may end 1:35 to 1:50' */
function saysOf({ fromMs, toMs, earliestMs, latestMs }: StepSpan): string {
  const from = words.from(timerText(fromMs), spanText(toMs - fromMs));
  if (latestMs === null) return earliestMs === null ? from : `${from}; ${words.notBefore(timerText(earliestMs))}`;
  return earliestMs === null
    ? `${from}; ${words.notAfter(timerText(latestMs))}`
    : `${from}; ${words.between(timerText(earliestMs), timerText(latestMs))}`;
}
