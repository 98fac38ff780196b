import { useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef, useState } from 'react';
import { Form } from 'react-aria-components';
import { USUAL_UNIT } from '../../core/ledger/written.js';
import { isPrintedPast } from '../../core/time/days.js';
import { navigate, useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, faultIn, got, once } from '../api.js';
import type { NewLot, Scanned } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { dayIn } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Page } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { SelectField } from '../parts/SelectField.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { Containers } from './Containers.js';
import { ANEW, afterScan, bodyOf, type Delivery, missingIn, wrongAmount, wrongNumber, wrongPrice } from './delivery.js';
import { MoreFields } from './MoreFields.js';
import { useReagents } from './stock.js';
import './stock.css';
import { STOCK } from './words.js';

const words = STOCK.in;

/** Takes a lot into stock: what its code says, what its print says, and how many containers came. */
export default function ReceiveScreen() {
  const { laboratory } = useSession();
  const queries = useQueryClient();
  const reagents = useReagents();
  const [code, setCode] = useParam('code');
  const [delivery, setDelivery] = useState<Delivery>(ANEW);
  const [doubt, setDoubt] = useState<Scanned | null>(null);
  const [compared, setCompared] = useState(false);
  const [said, setSaid] = useState<string | null>(null);
  const scan = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    (scanned, text) => {
      const { delivery: next, said: told } = afterScan(delivery, scanned, text);
      setDelivery(next);
      setSaid(told);
      if (scanned.needsConfirmation) {
        setDoubt(scanned);
        setCompared(false);
      }
    },
  );
  const send = useChange(
    (body: NewLot, key) => got(api.POST('/api/lots', { body, ...once(key) })),
    async (lot) => {
      say(words.done(lot.number));
      await queries.invalidateQueries({ queryKey: ['stock'] });
      navigate(`/stock/${lot.id}`);
    },
  );
  const asked = useRef(false);
  useEffect(() => {
    // A code that was scanned on the page before.
    if (code === null || asked.current) return;
    asked.current = true;
    scan.ask(code);
    setCode(null);
  });

  const set = (change: Partial<Delivery>): void => setDelivery({ ...delivery, ...change });
  const missing = missingIn(delivery);
  const wrong =
    wrongNumber(delivery.openedDays) ||
    wrongPrice(delivery.price) ||
    delivery.containers.some(({ amount }) => wrongAmount(amount));
  const past = isPrintedPast(delivery.expiry, dayIn(laboratory.zone, benchClock.now().at));
  const counted = reagents.data?.find((each) => each.code === delivery.reagent)?.unit ?? USUAL_UNIT;
  const faultAt = (...at: string[]): string | undefined => faultIn(send.error, ...at);
  return (
    <Page title={words.title} above={{ href: '/stock', word: STOCK.title }} about={<p>{words.about}</p>}>
      <div className="receive">
        <div className="look">
          <ScanField label={words.scan} action={words.take} busy={scan.isPending} onText={scan.ask} />
          <ProblemNote problem={scan.error} />
          {said !== null && <p role="status">{said}</p>}
          {scan.data && scan.data.warnings.length > 0 && !scan.data.needsConfirmation && (
            <ul className="warnings">
              {scan.data.warnings.map(({ code: warning, message }) => (
                <li key={warning} className="held-note">
                  {message}
                </li>
              ))}
            </ul>
          )}
        </div>
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            if (missing.length > 0 || wrong || (doubt && !compared)) return;
            send.ask(bodyOf(delivery, counted));
          }}
        >
          {doubt && <Doubt doubt={doubt} compared={compared} onCompared={setCompared} />}
          <div className="fields">
            <SelectField
              label={words.reagent}
              help={words.reagentHelp}
              value={delivery.reagent}
              empty={words.reagentPick}
              onChange={(reagent) => set({ reagent })}
              options={(reagents.data ?? [])
                .filter(({ kind }) => kind !== 'water')
                .map(({ code: id, name }) => ({ id, name }))
                .sort((a, b) => a.name.localeCompare(b.name))}
            />
            <Field
              label={words.number}
              help={words.numberHelp}
              error={faultAt('number')}
              value={delivery.number}
              onChange={(number) => set({ number })}
              autoComplete="off"
              isRequired
            />
            <Field
              label={words.expiry}
              help={words.expiryHelp}
              error={faultAt('expiry')}
              value={delivery.expiry}
              onChange={(expiry) => set({ expiry })}
              autoComplete="off"
              isRequired
            />
            <Field
              label={words.source}
              help={words.sourceHelp}
              error={faultAt('source')}
              value={delivery.source}
              onChange={(source) => set({ source })}
              isRequired
            />
            <Field
              label={words.openedDays}
              help={words.openedDaysHelp}
              error={wrongNumber(delivery.openedDays) ? words.notNumber : faultAt('openedLife')}
              value={delivery.openedDays}
              onChange={(openedDays) => set({ openedDays })}
              inputMode="numeric"
            />
            <Field
              label={words.gtin}
              help={WORDS.optional}
              error={faultAt('gtin')}
              value={delivery.gtin}
              onChange={(gtin) => set({ gtin })}
              inputMode="numeric"
              autoComplete="off"
            />
            <Field
              label={words.strength}
              help={words.strengthHelp}
              value={delivery.strength}
              onChange={(strength) => set({ strength })}
            />
            <Field
              label={words.storage}
              help={words.storageHelp}
              value={delivery.storage}
              onChange={(storage) => set({ storage })}
            />
          </div>
          <MoreFields delivery={delivery} set={set} faultAt={faultAt} />
          <Containers
            containers={delivery.containers}
            counted={counted}
            onChange={(containers) => set({ containers })}
            faultAt={faultAt}
          />
          <div role="status">{past && <p className="held-note">{words.expiryPast}</p>}</div>
          <ProblemNote problem={send.error} />
          {missing.length > 0 && <p className="small">{words.missing(missing)}</p>}
          <div>
            <Button
              look="main"
              type="submit"
              isDisabled={send.isPending || missing.length > 0 || wrong || (doubt !== null && !compared)}
            >
              {send.isPending ? WORDS.sending : words.action(delivery.containers.length)}
            </Button>
          </div>
        </Form>
      </div>
    </Page>
  );
}

/** What was read of a code that may have lost a separator: a person compares it with the print before it is taken. */
function Doubt({
  doubt: { warnings, message, gs1 },
  compared,
  onCompared,
}: {
  doubt: Scanned;
  compared: boolean;
  onCompared: (compared: boolean) => void;
}) {
  const said = warnings.length > 0 ? warnings.map((warning) => warning.message) : [message];
  return (
    <div className="problem" role="alert">
      <p className="problem-title">{words.doubt}</p>
      <ul>
        {said.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ul>
      <dl className="facts read">
        {(['gtin', 'lot', 'expiry', 'serial'] as const).flatMap((key) =>
          gs1?.[key] === undefined
            ? []
            : [
                <div key={key}>
                  <dt>{words.read[key]}</dt>
                  <dd>
                    <code>{gs1[key]}</code>
                  </dd>
                </div>,
              ],
        )}
      </dl>
      <Tick on={compared} onChange={onCompared}>
        {words.compared}
      </Tick>
    </div>
  );
}
