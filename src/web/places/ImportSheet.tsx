import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { FileTrigger } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { StoragePlace, TemperatureImport } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { sendTemperatures } from './places.js';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.importSheet;
/** More bad rows than these are counted, not listed. */
const LISTED = 20;

/** Takes a logger's file: what it says is told first, then a person takes it. */
export function ImportSheet({ place, onClose }: { place: StoragePlace; onClose: () => void }) {
  const queries = useQueryClient();
  const [file, setFile] = useState<File | null>(null);
  const told = useMutation({
    mutationFn: (chosen: File) => sendTemperatures(place.code, { file: chosen, dryRun: true }),
  });
  const take = useChange(
    (chosen: File, key) => sendTemperatures(place.code, { file: chosen, dryRun: false, key }),
    async ({ taken }) => {
      say(words.done(taken));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.title(place.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <div className="form">
        <p>{words.about}</p>
        <FileTrigger
          acceptedFileTypes={['.csv', '.txt', 'text/csv']}
          onSelect={(list) => {
            const chosen = list?.item(0);
            if (!chosen) return;
            setFile(chosen);
            told.mutate(chosen);
          }}
        >
          <Button>{words.choose}</Button>
        </FileTrigger>
        {file && <p>{words.chosen(file.name)}</p>}
        {told.isPending && <p role="status">{WORDS.loading}</p>}
        <ProblemNote problem={told.error} />
        {told.data && <Told told={told.data} />}
        <ProblemNote problem={take.error} />
        {file && told.data && told.data.problems.length === 0 && told.data.from !== null && (
          <Button look="main" isDisabled={take.isPending} onPress={() => take.ask(file)}>
            {take.isPending ? WORDS.sending : words.action}
          </Button>
        )}
      </div>
    </Sheet>
  );
}

function Told({ told: { problems, from, until, outside, repeated, rows } }: { told: TemperatureImport }) {
  const { format } = useSession();
  if (problems.length > 0) {
    return (
      <div className="problem" role="alert">
        <p className="problem-title">{words.wrong(problems.length)}</p>
        <ul>
          {problems.slice(0, LISTED).map(({ at, message }) => (
            <li key={at + message}>
              <strong>{at}</strong> {format.within(message)}
            </li>
          ))}
          {problems.length > LISTED && <li>{words.more(problems.length - LISTED)}</li>}
        </ul>
      </div>
    );
  }
  return (
    <div role="status">
      <p>
        {from === null || until === null
          ? words.nothing
          : words.right(rows, format.dayAndClock(from), format.dayAndClock(until))}
      </p>
      {repeated > 0 && <p>{words.repeated(repeated)}</p>}
      {outside > 0 && <p className="held-note">{words.outside(outside)}</p>}
    </div>
  );
}
