import { useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useState } from 'react';
import { readLabel } from '../../core/gs1/label.js';
import { type ContainerFacts, holds, whyUnusable } from '../../core/lot/facts.js';
import type { UnusableReason } from '../../core/lot/validity.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Scanned } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { shortLabel, someLabels } from '../parts/format.js';
import { newId } from '../parts/ids.js';
import { say, sayProblem } from '../parts/notices.js';
import { PedalButton } from '../parts/PedalButton.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import { useGateText } from './gateText.js';
import { type Standing, useCatalogue } from './bench.js';
import { BENCH } from './words.js';

const words = BENCH.tray;

/** A bottle that was scanned, and what stands in the way of putting it on a tray. */
type Asked =
  | { about: 'the print'; container: ContainerFacts; warned: string[] }
  | { about: 'which run'; container: ContainerFacts; runs: Standing[] }
  | { about: 'no run'; container: ContainerFacts }
  | { about: 'unusable'; container: ContainerFacts; run: Standing; reagent: string; reasons: UnusableReason[] }
  | { about: 'wrong reagent'; container: ContainerFacts; run: Standing };

/** Takes scans at the bench: bottles onto trays, specimens and slides to their runs. */
export function useScans(
  runs: readonly Standing[],
  open: Standing | null,
  onOpen: (runId: string) => void,
  onBadge: (badge: string) => void,
  onAgain: (runId: string) => void,
): { take: (text: string) => void; sheet: ReactNode } {
  const [asked, setAsked] = useState<Asked | null>(null);
  const record = useRecord();
  const { name } = useCatalogue();

  function take(text: string): void {
    setAsked(null);
    const label = readLabel(text.trim());
    // A badge says who is here; nothing else is to hear of it.
    if (label.valid && label.kind === 'B') return onBadge(text.trim());
    got(api.POST('/api/scan', { body: { text }, ...once(newId()) })).then(sort, sayProblem);
  }

  function sort(scanned: Scanned): void {
    const container = containerOf(scanned);
    const warned = scanned.warnings.map(({ message }) => message);
    if (container) {
      if (scanned.needsConfirmation) return setAsked({ about: 'the print', container, warned });
      if (warned.length > 0) say(warned.join(' '));
      return place(container);
    }
    const { subject } = scanned;
    const run = subject && runs.find(({ subjects }) => subjects.some(({ subjectId }) => subjectId === subject.id));
    // The first scan shows what the second one will begin.
    if (run) return run.id === open?.id ? onAgain(run.id) : onOpen(run.id);
    return say([scanned.message, ...warned].join(' '));
  }

  /** Which run a bottle is for: the one that is open, else the only one that needs it, else the person says. */
  function place(container: ContainerFacts): void {
    const active = runs.filter(({ state }) => !state.abandoned && !state.cleared);
    const needing = active.filter((run) => reagentFor(run, container) !== null);
    const [only, ...others] = needing;
    if (open && active.includes(open)) return putOn(open, container);
    if (only && others.length === 0) return putOn(only, container);
    if (only) return setAsked({ about: 'which run', container, runs: needing });
    if (active.length === 1 && active[0]) return putOn(active[0], container);
    return setAsked(
      active.length === 0 ? { about: 'no run', container } : { about: 'which run', container, runs: active },
    );
  }

  function putOn(run: Standing, container: ContainerFacts): void {
    const reagent = reagentFor(run, container);
    if (reagent === null) return setAsked({ about: 'wrong reagent', container, run });
    const reasons = whyUnusable(container, reagent, benchClock.now(), run.view.purpose === 'patients');
    if (reasons.length > 0) return setAsked({ about: 'unusable', container, run, reagent, reasons });
    return keep(run, container, reagent);
  }

  function keep(run: Standing, container: ContainerFacts, reagent: string): void {
    setAsked(null);
    record(
      run.id,
      'tray-scanned',
      { reagent, container: container.id },
      { said: words.onTray(name(reagent), shortLabel(container.label)) },
    );
  }

  const close = (): void => setAsked(null);
  function question(now: Asked): ReactNode {
    const { container } = now;
    switch (now.about) {
      case 'the print':
        return (
          <Sheet title={words.compare} urgent>
            <p>{words.compareHelp}</p>
            <ul className="reasons">
              {now.warned.map((message) => (
                <li key={message}>{message}</li>
              ))}
            </ul>
            <p>
              {BENCH.bottle(shortLabel(container.label))} · {name(container.reagent)} ·{' '}
              {words.lot(container.lot.number)}
            </p>
            <div className="ways">
              <PedalButton takesFocus onAct={close}>
                {words.another}
              </PedalButton>
              <Button
                onPress={() => {
                  close();
                  place(container);
                }}
              >
                {words.compareFits}
              </Button>
            </div>
          </Sheet>
        );
      case 'no run':
        return (
          <Sheet title={words.noRun} onClose={close}>
            <p>{words.noRunHelp(name(container.reagent))}</p>
          </Sheet>
        );
      case 'which run':
        return (
          <Sheet title={words.whichRun} onClose={close} closeWord={WORDS.cancel}>
            <p>
              {BENCH.bottle(shortLabel(container.label))} · {name(container.reagent)}
            </p>
            <div className="ways">
              {now.runs.map((run) => (
                <Button key={run.id} look="bench" onPress={() => putOn(run, container)}>
                  {run.view.station} · {run.view.revision.content.title} ·{' '}
                  {someLabels(run.subjects.map(({ label }) => label))}
                </Button>
              ))}
            </div>
          </Sheet>
        );
      case 'wrong reagent':
        return <WrongReagent {...now} onClose={close} onKeep={(reagent) => keep(now.run, container, reagent)} />;
      case 'unusable':
        return <Unusable {...now} onClose={close} onKeep={() => keep(now.run, container, now.reagent)} />;
    }
  }
  return { take, sheet: asked && question(asked) };
}

/** The scanned bottle with its lot, as the rules of validity want it. */
function containerOf({ container, lot }: Scanned): ContainerFacts | null {
  if (!container || !lot) return null;
  const { id, label, states, limits } = container;
  const standing = lot.decisions.map((decision, seq) => ({ ...decision, seq }));
  return { id, label, reagent: lot.reagent, lot: { id: lot.id, number: lot.number, standing }, states, limits };
}

/** The reagent of the run's steps that a bottle stands for; null when it is for none of them. */
function reagentFor({ view }: Standing, container: ContainerFacts): string | null {
  const wanted = view.revision.content.steps.flatMap(({ reagent }) => reagent ?? []);
  return (
    wanted.find((reagent) => reagent === container.reagent) ??
    wanted.find((reagent) => holds(container, reagent)) ??
    null
  );
}

function Unusable({
  container,
  reasons,
  onClose,
  onKeep,
}: {
  container: ContainerFacts;
  reasons: readonly UnusableReason[];
  onClose: () => void;
  onKeep: () => void;
}) {
  const text = useGateText();
  const queries = useQueryClient();
  const open = useChange(
    (_: null, key) =>
      got(
        api.POST('/api/containers/{id}/state', {
          params: { path: { id: container.id } },
          body: { state: 'opened', at: benchClock.now().at },
          ...once(key),
        }),
      ),
    async () => {
      say(words.opened(shortLabel(container.label)));
      await queries.invalidateQueries({ queryKey: ['stock'] });
      onKeep();
    },
  );
  const onlyUnopened = reasons.every(({ code }) => code === 'not-opened');
  return (
    <Sheet title={words.cannot(shortLabel(container.label))} urgent>
      <p>{words.every}</p>
      <ul className="reasons">
        {reasons.map(({ code, message, against }) => (
          <li key={`${code} ${against ?? ''}`}>{text(message)}</li>
        ))}
      </ul>
      {onlyUnopened && <p>{words.onlyUnopened}</p>}
      <ProblemNote problem={open.error} />
      <div className="ways">
        {onlyUnopened && (
          <PedalButton takesFocus isDisabled={open.isPending} onAct={() => open.ask(null)}>
            {words.openNow}
          </PedalButton>
        )}
        <PedalButton takesFocus={!onlyUnopened} look={onlyUnopened ? 'plain' : 'bench'} onAct={onClose}>
          {words.another}
        </PedalButton>
        <Button onPress={onKeep}>{words.anyway}</Button>
      </div>
      <p className="small">{words.scanNext}</p>
    </Sheet>
  );
}

function WrongReagent({
  container,
  run,
  onClose,
  onKeep,
}: {
  container: ContainerFacts;
  run: Standing;
  onClose: () => void;
  onKeep: (reagent: string) => void;
}) {
  const { name, fromTap } = useCatalogue();
  const { format } = useSession();
  const [usedAs, setUsedAs] = useState<string | null>(null);
  const wanted = [...new Set(run.view.revision.content.steps.flatMap(({ reagent }) => reagent ?? []))];
  const reasons = whyUnusable(container, usedAs ?? wanted[0] ?? '', benchClock.now(), run.view.purpose === 'patients');
  return (
    <Sheet title={words.cannot(shortLabel(container.label))} urgent>
      <p>{words.every}</p>
      <ul className="reasons">
        <li>{words.wrong(name(container.reagent), wanted.filter((code) => !fromTap(code)).map(name))}</li>
        {reasons
          .filter(({ code }) => code !== 'wrong-reagent')
          .map(({ code, message, against }) => (
            <li key={`${code} ${against ?? ''}`}>{format.within(message)}</li>
          ))}
      </ul>
      <div className="ways">
        <PedalButton takesFocus onAct={onClose}>
          {words.another}
        </PedalButton>
      </div>
      <details>
        <summary>{words.anyway}</summary>
        <Choice
          label={words.instead}
          options={wanted.map((id) => ({ id, name: name(id) }))}
          value={usedAs}
          onChange={setUsedAs}
        />
        <Button isDisabled={usedAs === null} onPress={() => usedAs !== null && onKeep(usedAs)}>
          {words.anyway}
        </Button>
      </details>
      <p className="small">{words.scanNext}</p>
    </Sheet>
  );
}
