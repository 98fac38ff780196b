import { useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useState } from 'react';
import { Form } from 'react-aria-components';
import type { KeptCode } from '../../core/keeping/kinds.js';
import { api, got, once } from '../api.js';
import type { Kept, Keeping, Signature } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { KEEPING as words } from './words.js';

/** What every sheet here ends in: why, the signature, and the word of the act. */
function SignedSheet({
  title,
  children,
  reasonLabel,
  meaning = 'responsibility',
  action,
  done,
  ready = true,
  send,
  onClose,
}: {
  title: string;
  children?: ReactNode;
  reasonLabel: string;
  meaning?: Signature['meaning'];
  action: string;
  done: string;
  ready?: boolean;
  send: (signed: { reason: string; password: string }, key: string) => Promise<Keeping>;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const [password, setPassword] = useState('');
  const change = useChange(send, (keeping) => {
    queries.setQueryData(['keeping'], keeping);
    say(done);
    onClose();
  });
  const whole = ready && reason.trim() !== '' && password !== '';
  return (
    <Sheet title={title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (whole) change.ask({ reason: reason.trim(), password });
        }}
      >
        {children}
        <Field label={reasonLabel} value={reason} onChange={setReason} lines={3} isRequired />
        <Signing meaning={meaning} password={password} onPassword={setPassword} />
        <ProblemNote problem={change.error} />
        <Button look="main" type="submit" isDisabled={!whole || change.isPending}>
          {change.isPending ? WORDS.sending : action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Signs for how long a kind is kept. */
export function TermSheet({
  kept: { kind, title, years: now, floorYears },
  onClose,
}: {
  kept: Kept;
  onClose: () => void;
}) {
  const own = words.term;
  const [years, setYears] = useState(String(now));
  return (
    <SignedSheet
      title={own.title(title)}
      reasonLabel={own.reason}
      meaning="approval"
      action={own.action}
      done={own.done}
      ready={/^\d{1,3}$/.test(years)}
      send={(signed, key) =>
        got(api.POST('/api/keeping/terms', { body: { kind, years: Number(years), ...signed }, ...once(key) }))
      }
      onClose={onClose}
    >
      <Field
        label={own.years}
        help={own.yearsHelp(floorYears)}
        value={years}
        onChange={setYears}
        inputMode="numeric"
        isRequired
      />
    </SignedSheet>
  );
}

/** Signs that nothing of some kinds goes. */
export function HoldSheet({ kinds: all, onClose }: { kinds: readonly Kept[]; onClose: () => void }) {
  const own = words.holds;
  const [kinds, setKinds] = useState<KeptCode[]>([]);
  const [from, setFrom] = useState('');
  const [to, setTo] = useState('');
  return (
    <SignedSheet
      title={own.sheet}
      reasonLabel={own.reason}
      action={own.action}
      done={own.done}
      send={(signed, key) => {
        const scope = {
          ...(kinds.length > 0 && { kinds }),
          ...(from.trim() !== '' && { from: from.trim() }),
          ...(to.trim() !== '' && { to: to.trim() }),
        };
        return got(api.POST('/api/keeping/holds', { body: { ...scope, ...signed }, ...once(key) }));
      }}
      onClose={onClose}
    >
      <fieldset className="kept-kinds">
        <legend>{own.kinds}</legend>
        <p className="field-help">{own.kindsHelp}</p>
        <div className="choice-options">
          {all.map(({ kind, title }) => (
            <Tick
              key={kind}
              on={kinds.includes(kind)}
              onChange={(on) => setKinds(on ? [...kinds, kind] : kinds.filter((each) => each !== kind))}
            >
              {title}
            </Tick>
          ))}
        </div>
      </fieldset>
      <Field label={own.from} help={own.dayHelp} value={from} onChange={setFrom} autoComplete="off" />
      <Field label={own.to} help={own.dayHelp} value={to} onChange={setTo} autoComplete="off" />
    </SignedSheet>
  );
}

/** Lifts a hold, signed. */
export function LiftSheet({ id, onClose }: { id: string; onClose: () => void }) {
  const own = words.holds;
  return (
    <SignedSheet
      title={own.liftTitle}
      reasonLabel={own.liftReason}
      action={own.liftAction}
      done={own.lifted}
      send={(body, key) =>
        got(api.POST('/api/keeping/holds/{id}/end', { params: { path: { id } }, body, ...once(key) }))
      }
      onClose={onClose}
    />
  );
}
