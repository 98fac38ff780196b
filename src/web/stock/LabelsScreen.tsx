import { useState } from 'react';
import { Link } from 'react-aria-components';
import { SHEETS, type SheetId } from '../../core/labels/sheets.js';
import type { ScreenProps } from '../app/screen.js';
import { useCatalogue } from '../bench/bench.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { Page, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { useLot } from './stock.js';
import './stock.css';
import { STOCK } from './words.js';

const words = STOCK.labels;
type Code = keyof typeof words.codes;

/** Chooses the sheet of labels on which those of a lot are printed; the server makes the PDF. */
export default function LabelsScreen({ lot: id = '' }: ScreenProps) {
  const { name } = useCatalogue();
  const { data, error, refetch } = useLot(id);
  const [sheet, setSheet] = useState<SheetId>('a4-3x8');
  const [start, setStart] = useState('1');
  const [code, setCode] = useState<Code>('datamatrix');
  const above = { href: `/stock/${id}`, word: words.back };
  if (!data) {
    return (
      <Page title={STOCK.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const most = SHEETS[sheet].columns * SHEETS[sheet].rows;
  const wrong = !/^[1-9]\d{0,2}$/.test(start.trim()) || Number(start) > most;
  const here = data.containers.filter(({ state }) => state === 'unopened' || state === 'opened');
  const asked = new URLSearchParams({ sheet, start: start.trim(), code });
  return (
    <Page title={words.title(data.number)} above={above} about={<p>{name(data.reagent)}</p>}>
      <div className="form">
        <p>{words.help}</p>
        <SelectField
          label={words.sheet}
          value={sheet}
          onChange={setSheet}
          options={Object.entries(words.sheets).map(([each, text]) => ({ id: each as SheetId, name: text }))}
        />
        <Field
          label={words.start}
          help={words.startHelp}
          error={wrong ? words.notStart(most) : undefined}
          value={start}
          onChange={setStart}
          inputMode="numeric"
        />
        <Choice
          label={words.code}
          options={Object.entries(words.codes).map(([each, text]) => ({ id: each as Code, name: text }))}
          value={code}
          onChange={setCode}
        />
        {here.length === 0 && <p className="held-note">{words.none}</p>}
        {here.length > 0 && !wrong && (
          <p>
            <Link
              href={`/api/lots/${encodeURIComponent(id)}/labels.pdf?${asked.toString()}`}
              target="_blank"
              className="button button-main"
            >
              {words.make}
            </Link>
          </p>
        )}
        <p className="small">
          {words.which}: {here.map(({ label }) => label).join(', ')}
        </p>
      </div>
    </Page>
  );
}
