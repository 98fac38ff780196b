import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { Release } from '../api.paths.js';
import { useGateText } from '../bench/gateText.js';
import { Button } from '../parts/Button.js';
import { Tag } from '../parts/Page.js';
import { SignatureBlock } from '../parts/Signing.js';
import { LookHistory, ThenAndNow } from '../second-looks/LookHistory.js';
import { WeightMark } from './FindingList.js';
import { RELEASE_FRAMES } from './frames.js';
import { WithdrawSheet } from './WithdrawSheet.js';
import { RELEASE } from './words.js';

const words = RELEASE.after;

/** What left, under whose name, when, what the signature means, and all that stands beside it since. */
export function Released({ release, onAmend }: { release: Release; onAmend: () => void }) {
  const { format, may } = useSession();
  const text = useGateText();
  const [withdrawing, setWithdrawing] = useState(false);
  const { kind, standing, marks, exception, place, answerId, questions, looks, withdrawal, findings } = release;
  return (
    <div className="released">
      <p>
        <strong>{RELEASE.signed.title(RELEASE.form.kinds[kind].name)}</strong>{' '}
        <Tag frame={RELEASE_FRAMES[standing]}>{words.standings[standing]}</Tag>
      </p>
      {release.words !== null && <blockquote>{release.words}</blockquote>}
      {marks.length > 0 && (
        <ul className="marks">
          {marks.map((mark) => (
            <li key={mark}>{format.within(mark)}</li>
          ))}
        </ul>
      )}
      <SignatureBlock signature={release.signature} />
      {exception && (
        <>
          <p className="small">{words.second}</p>
          <SignatureBlock signature={exception.second} act="second" />
        </>
      )}
      {place !== null && <p className="small">{words.place(place)}</p>}
      {answerId !== null && <p className="small">{words.spoken}</p>}
      {questions.map(({ lookbackId, reason, outcome }) => (
        <p key={lookbackId} className="held-note">
          <a href={`/lookbacks/${lookbackId}`}>
            {outcome === null ? words.questioned(reason) : words.answered(reason, outcome)}
          </a>
        </p>
      ))}
      {looks.length > 0 && (
        <>
          {(standing === 'in question' || standing === 'looked at again') && <ThenAndNow release={release} />}
          <LookHistory release={release} />
          <p>
            <Link href="/release/second-looks">{words.secondLooks}</Link>
          </p>
        </>
      )}
      {withdrawal && (
        <p className="held-note">
          {words.withdrawn(format.dayAndClock(withdrawal.at), withdrawal.reason, withdrawal.told)}
        </p>
      )}
      <p className="small">
        {RELEASE.signed.judged(release.judgedTo, release.rules)} ·{' '}
        {RELEASE.signed.notes(findings.length, release.exception !== null)}
      </p>
      {findings.length > 0 && (
        <details>
          <summary>{RELEASE.findings.title}</summary>
          <ul className="held-by">
            {findings.map((finding) => (
              <li key={finding.id}>
                <WeightMark finding={finding} /> {text(finding.what)}
              </li>
            ))}
          </ul>
        </details>
      )}
      {standing !== 'withdrawn' && standing !== 'amended' && (
        <div className="row-ways">
          {may('releaser') && (
            <Button look="quiet" onPress={onAmend}>
              {RELEASE.form.amend.open}
            </Button>
          )}
          {may('releaser', 'director') && (
            <Button look="quiet" onPress={() => setWithdrawing(true)}>
              {words.withdraw.open}
            </Button>
          )}
        </div>
      )}
      {withdrawing && <WithdrawSheet release={release} onClose={() => setWithdrawing(false)} />}
    </div>
  );
}
