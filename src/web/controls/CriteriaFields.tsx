import { type Criterion, usualCriteria } from '../../core/controls/criteria.js';
import type { ControlKind } from '../../core/protocol/protocol.js';
import type { NewControlPlan, Plan } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { SelectField } from '../parts/SelectField.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.criteria;

type Written = NewControlPlan['controls'][number]['criteria'][number];
type Scale = 'pass or fail' | 'graded';

const MOST = 20;

/** What a control is read by: the usual criteria of its stain, or those that the plan writes. */
export function CriteriaFields({
  category,
  kind,
  criteria,
  onChange,
}: {
  category: Plan['category'];
  kind: ControlKind;
  criteria: readonly Written[];
  onChange: (criteria: Written[]) => void;
}) {
  const usual = usualCriteria({ category }, { kind });
  const set = (n: number, changes: Partial<Written>): void =>
    onChange(criteria.map((each, place) => (place === n ? { ...each, ...changes } : each)));
  if (criteria.length === 0) {
    return (
      <div className="plan-criteria">
        <h4>{words.title}</h4>
        <p className="small">
          {usual.length === 0 ? words.noUsual : words.usual(usual.map(({ title }) => title).join(', '))}
        </p>
        <div>
          <Button onPress={() => onChange(usual.length === 0 ? [blank()] : usual.map(copied))}>{words.write}</Button>
        </div>
      </div>
    );
  }
  return (
    <div className="plan-criteria">
      <h4>{words.title}</h4>
      <p className="small">{words.written}</p>
      <ol>
        {criteria.map((criterion, n) => (
          <li key={n}>
            <CriterionFields
              criterion={criterion}
              n={n + 1}
              onChange={(changes) => set(n, changes)}
              onRemove={() => onChange(criteria.filter((_, place) => place !== n))}
            />
          </li>
        ))}
      </ol>
      <div className="tag-line">
        {criteria.length < MOST && <Button onPress={() => onChange([...criteria, blank()])}>{words.add}</Button>}
        <Button look="quiet" onPress={() => onChange([])}>
          {words.backToUsual}
        </Button>
      </div>
    </div>
  );
}

function CriterionFields({
  criterion: { title, expected, grades, least },
  n,
  onChange,
  onRemove,
}: {
  criterion: Written;
  n: number;
  onChange: (changes: Partial<Written>) => void;
  onRemove: () => void;
}) {
  return (
    <fieldset className="plan-criterion">
      <legend>{words.nth(n)}</legend>
      <Field
        label={words.name}
        help={words.nameHelp}
        value={title}
        onChange={(text) => onChange({ title: text })}
        maxLength={100}
        isRequired
      />
      <Field
        label={words.expected}
        value={expected}
        onChange={(text) => onChange({ expected: text })}
        maxLength={500}
        isRequired
      />
      <SelectField<Scale>
        label={words.scale}
        help={words.scaleHelp}
        value={grades === null ? 'pass or fail' : 'graded'}
        onChange={(scale) =>
          onChange(scale === 'graded' ? { grades: [...words.usualGrades], least: 2 } : { grades: null, least: null })
        }
        options={(['pass or fail', 'graded'] as const).map((id) => ({ id, name: words.scales[id] }))}
      />
      {grades !== null && (
        <>
          <div className="plan-grades">
            {grades.map((text, grade) => (
              <Field
                key={grade}
                label={words.grade(grade)}
                value={text}
                onChange={(changed) =>
                  onChange({ grades: grades.map((each, place) => (place === grade ? changed : each)) })
                }
                maxLength={200}
                isRequired
              />
            ))}
          </div>
          <SelectField
            label={words.least}
            help={words.leastHelp}
            value={String(least ?? 0)}
            onChange={(text) => onChange({ least: Number(text) as Criterion['least'] })}
            options={grades.map((text, grade) => ({ id: String(grade), name: `${grade}: ${text}` }))}
          />
        </>
      )}
      <div>
        <Button look="quiet" aria-label={words.removeNamed(title || words.nth(n))} onPress={onRemove}>
          {CONTROLS.edit.remove}
        </Button>
      </div>
    </fieldset>
  );
}

/** Of the usual ones the wording is the laboratory's from then on. */
function copied({ grades, ...criterion }: Criterion): Written {
  return { ...criterion, grades: grades === null ? null : [...grades] };
}

/** Its code is made when the plan is saved. */
function blank(): Written {
  return { code: '', title: '', expected: '', grades: null, least: null, source: words.source };
}
