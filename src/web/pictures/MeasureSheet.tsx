import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { RUIFROK_JOHNSTON, threeStains } from '../../core/stain-image/deconvolution.js';
import { metricsOf, type PictureKind } from '../../core/stain-image/measure.js';
import { api, got, once } from '../api.js';
import type { KeptFile, NewPicture } from '../api.paths.js';
import { useSeriesList } from '../control-results/queries.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { PictureField } from '../parts/PictureField.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { exposureOf, keepExposure, lastExposure, wrongParts } from './exposure.js';
import { ExposureFields } from './ExposureFields.js';
import { metricWords, PICTURES } from './words.js';

const words = PICTURES.sheet;

type StainSet = keyof typeof words.stainSets;
const STAINS: Record<StainSet, readonly (keyof typeof RUIFROK_JOHNSTON)[]> = {
  'dab-haematoxylin': ['haematoxylin', 'dab'],
  'haematoxylin-eosin': ['haematoxylin', 'eosin'],
  all: ['haematoxylin', 'eosin', 'dab'],
};

type Colour = keyof typeof words.colours;

/** Chosen instead of a series. */
const NO_SERIES = '-';

/** Sends a picture of a control and says how it is to be measured; `subject` says what it shows, where that is known. */
export function MeasureSheet({ subject, onClose }: { subject?: NewPicture['subject']; onClose: () => void }) {
  const queries = useQueryClient();
  const [picture, setPicture] = useState<KeptFile | null>(null);
  const [field, setField] = useState<KeptFile | null>(null);
  const [kind, setKind] = useState<PictureKind>('brightfield');
  const [stains, setStains] = useState<StainSet>('dab-haematoxylin');
  const [colour, setColour] = useState<Colour>('green');
  const [dark, setDark] = useState('');
  const [exposure, setExposure] = useState(lastExposure);
  const [chosen, setChosen] = useState(NO_SERIES);
  const send = useChange(
    (body: NewPicture, key) => got(api.POST('/api/pictures', { body, ...once(key) })),
    async () => {
      keepExposure(exposure);
      say(words.sent);
      onClose();
      await queries.invalidateQueries({ queryKey: ['pictures'] });
    },
  );
  const wrong = (text: string): boolean => text.trim() !== '' && !(typedNumber(text) >= 0);
  const measuring: NewPicture['measuring'] =
    kind === 'brightfield'
      ? { kind, stains: STAINS[stains].map((name) => ({ name, vector: [...RUIFROK_JOHNSTON[name]] })) }
      : { kind, colour, ...(dark.trim() !== '' && { darkOffset: typedNumber(dark) }) };
  const metrics = metricsOf(
    kind === 'brightfield'
      ? { kind, stains: threeStains(STAINS[stains].map((name) => ({ name, vector: RUIFROK_JOHNSTON[name] }))) }
      : { kind, band: 0, darkOffset: 0 },
  );
  const offered = useChartable(metrics);
  const series = offered.find(({ id }) => id === chosen);
  const shown = subject ?? (series && { kind: 'series' as const, id: series.id });
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!picture || wrong(dark) || wrongParts(exposure).length > 0) return;
          send.ask({
            fileId: picture.id,
            measuring,
            exposure: exposureOf(exposure),
            ...(field && { fieldFileId: field.id }),
            ...(shown && { subject: shown }),
          });
        }}
      >
        <PictureField label={words.picture} kept={picture} onKept={setPicture} />
        <Choice
          label={words.kind}
          options={(['brightfield', 'fluorescence'] as const).map((id) => ({ id, ...words.kinds[id] }))}
          value={kind}
          onChange={setKind}
        />
        {kind === 'brightfield' ? (
          <SelectField
            label={words.stains}
            help={words.stainsHelp}
            value={stains}
            onChange={setStains}
            options={Object.entries(words.stainSets).map(([id, name]) => ({ id: id as StainSet, name }))}
          />
        ) : (
          <>
            <SelectField
              label={words.colour}
              value={colour}
              onChange={setColour}
              options={Object.entries(words.colours).map(([id, name]) => ({ id: id as Colour, name }))}
            />
            <Field
              label={words.dark}
              help={words.darkHelp}
              inputMode="decimal"
              value={dark}
              onChange={setDark}
              error={wrong(dark) ? words.notNumber : undefined}
            />
          </>
        )}
        {!subject && offered.length > 0 && (
          <SelectField
            label={words.series}
            help={words.seriesHelp}
            value={series?.id ?? NO_SERIES}
            onChange={setChosen}
            options={[{ id: NO_SERIES, name: words.noSeries }, ...offered]}
          />
        )}
        <PictureField label={words.field} help={words.fieldHelp} kept={field} onKept={setField} />
        <ExposureFields value={exposure} onChange={setExposure} />
        <ProblemNote problem={send.error} />
        <Button type="submit" look="main" isDisabled={!picture || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** The series of numbers that chart one of these metrics, each level for itself. */
function useChartable(metrics: readonly string[]): { id: string; name: string }[] {
  const { data } = useSeriesList();
  return (data?.items ?? []).flatMap(({ title, metric, levels }) =>
    metric !== null && metrics.includes(metric)
      ? levels.map(({ id, level }) => ({ id, name: words.ofSeries(title, level, metricWords(metric)) }))
      : [],
  );
}
