import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { DropZone, FileTrigger, isFileDropItem, Link, Text } from 'react-aria-components';
import { credentials, Problem } from '../api.js';
import { Button } from '../parts/Button.js';
import { newId } from '../parts/ids.js';
import { say } from '../parts/notices.js';
import { Page, Part } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import type { Imported } from './ledger.js';
import './ledger.css';
import { sendTable } from './send-table.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.import;
type Encoding = keyof typeof words.encodings;

const NEEDED: readonly string[] = ['reagent', 'lot number', 'expiry', 'supplier', 'amount', 'unit'];

/** Takes over opening stock from a table: told first, taken when a person says so. */
export default function ImportScreen() {
  const queries = useQueryClient();
  const [file, setFile] = useState<File | null>(null);
  const [encoding, setEncoding] = useState<Encoding>('utf-8');
  const told = useMutation({
    mutationFn: (asked: { file: File; encoding: Encoding }) => sendTable({ ...asked, dryRun: true }),
  });
  const taken = useMutation({
    mutationFn: (asked: {
      file: File;
      encoding: Encoding;
      takeRightRows: boolean;
      key: string;
      personId: string | null;
    }) =>
      asked.personId === credentials.personId
        ? sendTable({ ...asked, dryRun: false })
        : Promise.reject(new Problem(403, 'other-person', words.title, words.mend)),
    onSuccess: async ({ lots, containers }) => {
      say(words.done(lots, containers));
      setFile(null);
      told.reset();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  });
  const read = (chosen: File, as: Encoding): void => {
    setFile(chosen);
    taken.reset();
    told.mutate({ file: chosen, encoding: as });
  };
  const take = (takeRightRows: boolean): void => {
    if (file) taken.mutate({ file, encoding, takeRightRows, key: newId(), personId: credentials.personId });
  };
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <div className="import">
        <DropZone
          className="drop"
          aria-label={words.drop}
          getDropOperation={(types) => (types.has('text/plain') ? 'cancel' : 'copy')}
          onDrop={({ items }) => {
            const dropped = items.find(isFileDropItem);
            void dropped?.getFile().then((chosen) => read(chosen, encoding));
          }}
        >
          <Text slot="label">{file ? file.name : words.drop}</Text>
          <FileTrigger
            acceptedFileTypes={['.csv', '.tsv', '.txt', '.xlsx', 'text/csv']}
            onSelect={(list) => {
              const chosen = list?.item(0);
              if (chosen) read(chosen, encoding);
            }}
          >
            <Button>{words.choose}</Button>
          </FileTrigger>
          <p className="small">{words.fileHelp}</p>
        </DropZone>
        <SelectField
          label={words.encoding}
          value={encoding}
          onChange={(value) => {
            setEncoding(value);
            if (file) read(file, value);
          }}
          options={Object.entries(words.encodings).map(([id, name]) => ({ id: id as Encoding, name }))}
        />
      </div>
      {told.isPending && <p role="status">{words.reading}</p>}
      <ProblemNote problem={told.error} />
      {told.data && <Told told={told.data} busy={taken.isPending} onTake={take} />}
      <ProblemNote problem={taken.error} />
      {taken.data && <Link href="/stock">{words.toStock}</Link>}
      <Part title={words.columns}>
        <dl className="facts">
          {Object.entries(words.meaning).map(([column, meaning]) => (
            <div key={column}>
              <dt>
                <code>{column}</code> · {NEEDED.includes(column) ? words.needed : words.may}
              </dt>
              <dd>{meaning}</dd>
            </div>
          ))}
        </dl>
      </Part>
    </Page>
  );
}

function Told({ told, busy, onTake }: { told: Imported; busy: boolean; onTake: (rightRows: boolean) => void }) {
  const { right, rows, lots, containers, bad } = told;
  if (rows === 0) return <p role="status">{words.nothing}</p>;
  return (
    <Part title={words.result(right, rows)}>
      <p role="status">{right > 0 && words.would(lots, containers)}</p>
      {bad.length === 0 && (
        <p>
          <Button look="main" isDisabled={busy} onPress={() => onTake(false)}>
            {words.takeAll(rows)}
          </Button>
        </p>
      )}
      {bad.length > 0 && (
        <>
          <p>{words.mend}</p>
          {right > 0 && (
            <p>
              <Button isDisabled={busy} onPress={() => onTake(true)}>
                {words.takeRight(right)}
              </Button>
            </p>
          )}
          <h3>{words.bad}</h3>
          <div className="table-place">
            <table>
              <thead>
                <tr>
                  {[words.row, words.field, words.message].map((each) => (
                    <th key={each} scope="col">
                      {each}
                    </th>
                  ))}
                </tr>
              </thead>
              <tbody>
                {bad.slice(0, MOST_SHOWN).map(({ row, field, message }) => (
                  <tr key={`${row} ${field} ${message}`}>
                    <th scope="row" data-label={words.row} className="figures">
                      {row}
                    </th>
                    <td data-label={words.field}>
                      <code>{field}</code>
                    </td>
                    <td data-label={words.message}>{message}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
          {bad.length > MOST_SHOWN && <p>{words.moreBad(bad.length - MOST_SHOWN)}</p>}
        </>
      )}
    </Part>
  );
}

/** Whoever has mended so many sees the next. */
const MOST_SHOWN = 200;
