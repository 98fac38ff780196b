import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { LookedAtRelease } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { Tag } from '../parts/Page.js';
import { RELEASE_FRAMES } from '../release/frames.js';
import { WithdrawSheet } from '../release/WithdrawSheet.js';
import { RELEASE } from '../release/words.js';
import { LookHistory, ThenAndNow } from './LookHistory.js';
import { UpholdSheet } from './UpholdSheet.js';
import { SECOND_LOOKS as words } from './words.js';

/** A release that is or was looked at again: why, what was said and is said now, and what a person can sign. */
export function LookedAtLine({ item }: { item: LookedAtRelease }) {
  const { format, may } = useSession();
  const { release, title, station, label, description } = item;
  const { standing, signature, kind, runId, looks, amendedBy, withdrawal } = release;
  const [signing, setSigning] = useState<'uphold' | 'withdraw' | null>(null);
  const open = standing === 'in question' || standing === 'looked at again';
  const cause = looks.find(({ answer }) => answer?.outcome === 'worsened') ?? looks[0];
  const close = (): void => setSigning(null);
  return (
    <article className="looked-at">
      <header>
        <h3 className="tag-line">
          <span className="label">{shortLabel(label)}</span>
          <Tag frame={RELEASE_FRAMES[standing]}>{RELEASE.after.standings[standing]}</Tag>
        </h3>
        <p>{description}</p>
        <p className="small">
          <Link href={`/release/${runId}`}>{title}</Link> {station}.{' '}
          {words.signedBy(RELEASE.form.kinds[kind].name, signature.name, format.dayAndClock(signature.at))}
        </p>
      </header>
      {cause && (
        <p>
          {words.why}: <strong>{words.causes[cause.cause]}.</strong> {format.within(cause.reason)}{' '}
          <Link href={cause.path}>{words.toCause}</Link>
        </p>
      )}
      <ThenAndNow release={release} />
      {amendedBy !== null && <p className="held-note">{words.amended}</p>}
      {withdrawal && (
        <p className="held-note">{words.withdrawn(format.dayAndClock(withdrawal.at), withdrawal.reason)}</p>
      )}
      <LookHistory release={release} />
      {open && (
        <>
          <p className="small">{may('releaser', 'director') ? words.todo : words.notYours}</p>
          {may('releaser', 'director') && (
            <div className="row-ways">
              <Button look="main" onPress={() => setSigning('uphold')}>
                {words.uphold.open}
              </Button>
              <Button onPress={() => setSigning('withdraw')}>{words.withdraw}</Button>
              <Link href={`/release/${runId}`} className="button button-quiet">
                {words.amend}
              </Link>
            </div>
          )}
        </>
      )}
      {signing === 'uphold' && <UpholdSheet release={release} label={shortLabel(label)} onClose={close} />}
      {signing === 'withdraw' && <WithdrawSheet release={release} onClose={close} />}
    </article>
  );
}
