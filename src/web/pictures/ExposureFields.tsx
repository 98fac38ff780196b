import type { ExposurePart } from '../../core/stain-image/taken.js';
import { Field } from '../parts/Field.js';
import { type ExposureDraft, wrongParts } from './exposure.js';
import { PICTURES } from './words.js';

const words = PICTURES.exposure;

/** How a picture was taken: two pictures compare only at the same exposure. */
export function ExposureFields({
  value,
  onChange,
}: {
  value: ExposureDraft;
  onChange: (value: ExposureDraft) => void;
}) {
  const wrong = wrongParts(value);
  const field = (part: ExposurePart, decimal = false) => (
    <Field
      label={words.parts[part]}
      value={value[part]}
      onChange={(text) => onChange({ ...value, [part]: text })}
      maxLength={60}
      {...(decimal && { inputMode: 'decimal' as const })}
      error={wrong.includes(part) ? words.notNumber : undefined}
    />
  );
  return (
    <fieldset className="exposure">
      <legend>{words.title}</legend>
      <p className="field-help">{words.help}</p>
      <div className="exposure-fields">
        {field('exposureMs', true)}
        {field('gain', true)}
        {field('objective')}
        {field('camera')}
        {field('lamp')}
      </div>
    </fieldset>
  );
}
