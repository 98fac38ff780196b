import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, got, once } from '../api.js';
import type { Scanned, WorksheetLine } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { unitText } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { amountText } from './amounts.js';
import { askedOf, type Filled, isNoAmount, isOff, type LineFilling, unitOf } from './filling.js';
import { RECIPES } from './words.js';
import { askedText, Containers } from './WorksheetTable.js';

const words = RECIPES.prepare;

/** One line of the worksheet: what it asks for, the containers that were scanned, and what was really taken from each. */
export function PrepareLine({
  line,
  filling,
  onChange,
}: {
  line: WorksheetLine;
  filling: LineFilling;
  onChange: (filling: LineFilling) => void;
}) {
  const queries = useQueryClient();
  const { name } = useCatalogue();
  const [said, setSaid] = useState<string | null>(null);
  const [closed, setClosed] = useState<Filled | null>(null);
  const take = (filled: Filled): void => onChange({ ...filling, taken: [...filling.taken, filled] });
  const scan = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    (scanned) => {
      const { filled, told, unopened } = lookAt(scanned, line, filling, name);
      setSaid(told);
      setClosed(unopened ? filled : null);
      if (filled && !unopened) take(filled);
    },
  );
  const open = useChange(
    ({ id }: Filled, key) =>
      got(
        api.POST('/api/containers/{id}/state', { params: { path: { id } }, body: { state: 'opened' }, ...once(key) }),
      ),
    async (_opened, filled) => {
      setClosed(null);
      setSaid(null);
      take(filled);
      await queries.invalidateQueries({ queryKey: ['stock', 'lot'] });
    },
  );
  const set = (id: string, amount: string): void =>
    onChange({ ...filling, taken: filling.taken.map((each) => (each.id === id ? { ...each, amount } : each)) });
  const [first] = filling.taken;
  const off = isOff(line, filling);
  // Beside what was scanned already, only what the worksheet still counts on.
  const left =
    filling.taken.length === 0
      ? line.containers
      : line.containers.filter(({ id, take: share }) => share && !filling.taken.some((each) => each.id === id));
  return (
    <li className="prepare-line">
      <h3>
        <span>{words.line(line.line, line.name)}</span>
        <span className="figures">
          {first ? askedText({ ...line, amount: askedOf(line, first.reagent) }) : askedText(line)}
        </span>
      </h3>
      {line.how !== null && <p>{line.how}</p>}
      {line.water ? (
        <p className="small">{RECIPES.page.tap}</p>
      ) : (
        <>
          {filling.taken.map((filled) => (
            <div key={filled.id} className="prepare-taken">
              <span className="label">{filled.label}</span>
              <Field
                label={words.amount(unitText(unitOf(line, filled)))}
                error={isNoAmount(filled) ? words.notAmount : undefined}
                value={filled.amount}
                onChange={(amount) => set(filled.id, amount)}
                inputMode="decimal"
                autoComplete="off"
              />
              <Button
                look="quiet"
                aria-label={`${words.remove}: ${filled.label}`}
                onPress={() => onChange({ ...filling, taken: filling.taken.filter(({ id }) => id !== filled.id) })}
              >
                {words.remove}
              </Button>
            </div>
          ))}
          {(filling.taken.length === 0 || left.length > 0) && <Containers line={{ ...line, containers: left }} />}
          <ScanField label={words.scan} action={words.take} busy={scan.isPending} onText={scan.ask} />
          <ProblemNote problem={scan.error ?? open.error} />
          {said !== null && (
            <p role="status" className="held-note">
              {said}{' '}
              {closed && (
                <Button onPress={() => open.ask(closed)} isDisabled={open.isPending}>
                  {words.open}
                </Button>
              )}
            </p>
          )}
          {off && first && (
            <Field
              label={words.reason}
              help={words.off(amountText(askedOf(line, first.reagent)))}
              value={filling.reason}
              onChange={(reason) => onChange({ ...filling, reason })}
              isRequired
            />
          )}
        </>
      )}
    </li>
  );
}

/** What a scan means for a line: the container to take, or why it is none for it. */
function lookAt(
  { container, lot, message }: Scanned,
  line: WorksheetLine,
  { taken }: LineFilling,
  name: (code: string) => string,
): { filled: Filled | null; told: string | null; unopened: boolean } {
  const no = (told: string) => ({ filled: null, told, unopened: false });
  if (!container || !lot) return no(container ? message : `${words.notHere} ${message}`);
  if (taken.some(({ id }) => id === container.id)) return no(words.already);
  const offered = line.containers.find(({ id }) => id === container.id);
  if (!offered) {
    const fitting = line.takes === lot.reagent || line.instead.some(({ takes }) => takes === lot.reagent);
    if (!fitting) return no(words.notThis(container.label, name(lot.reagent), line.name));
    return no(`${words.unusable} ${container.reasons.map((reason) => reason.message).join('; ')}`);
  }
  const filled = { id: container.id, label: container.label, reagent: offered.reagent, amount: '' };
  const unopened = container.state === 'unopened';
  return { filled, told: unopened ? words.notOpened : null, unopened };
}
