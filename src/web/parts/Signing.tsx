import type { Signature } from '../api.paths.js';
import { useSession } from '../app/session.js';
import { WORDS } from '../words.js';
import { Field } from './Field.js';
import { useBeat } from './ticker.js';

const words = WORDS.signing;

/** An act with words of its own for what its signature means. */
export type SignedAct = keyof typeof words.acts;

function meant(meaning: Signature['meaning'], act: SignedAct | undefined): string {
  return act === undefined ? words.meanings[meaning] : words.acts[act];
}

/** What a person signs with: the name, the time, what the signature means, and the password again (21 CFR 11.50, 11.200). */
export function Signing({
  meaning,
  act,
  password,
  error,
  onPassword,
}: {
  meaning: Signature['meaning'];
  act?: SignedAct | undefined;
  password: string;
  /** What was wrong with it, where the form asks for more than one. */
  error?: string | undefined;
  onPassword: (password: string) => void;
}) {
  const { person, format } = useSession();
  const time = useBeat(({ at }) => format.dayAndClock(at));
  return (
    <div className="signing">
      <dl>
        <div>
          <dt>{words.name}</dt>
          <dd>{person.name}</dd>
        </div>
        <div>
          <dt>{words.time}</dt>
          <dd className="figures">{time}</dd>
        </div>
        <div>
          <dt>{words.meaning}</dt>
          <dd>{meant(meaning, act)}</dd>
        </div>
      </dl>
      <Field
        label={words.password}
        help={words.passwordHelp}
        type="password"
        error={error}
        value={password}
        onChange={onPassword}
        autoComplete="current-password"
        isRequired
      />
    </div>
  );
}

/** A signature as it stands with what was signed: printed name, date and time, meaning (21 CFR 11.50). */
export function SignatureBlock({ signature, act }: { signature: Signature; act?: SignedAct | undefined }) {
  const { format } = useSession();
  return (
    <div className="signature">
      <p className="signature-name">{signature.name}</p>
      <p>
        <time dateTime={signature.at} className="figures">
          {format.toTheSecond(signature.at)}
        </time>
      </p>
      <p>{meant(signature.meaning, act)}</p>
      <details>
        <summary>{words.bound}</summary>
        <code className="hash">{signature.recordHash}</code>
      </details>
    </div>
  );
}
