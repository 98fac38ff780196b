import type { Criterion } from '../../core/controls/criteria.js';
import type { CriterionReading } from '../../core/controls/result.js';
import { Choice } from '../parts/Choice.js';
import { SelectField } from '../parts/SelectField.js';
import { RESULTS } from './words.js';

const words = RESULTS.reading;

/** Grades by the code of the criterion. */
export type Grades = Readonly<Record<string, CriterionReading['grade']>>;

interface Given {
  criteria: readonly Criterion[];
  grades: Grades;
  onChange: (grades: Grades) => void;
}

/** The criteria that a plan writes, each of which is judged, so that all of them are in sight. */
export function WrittenCriteria({ criteria, grades, onChange }: Given) {
  return (
    <div className="form">
      {criteria.map((criterion) => {
        const { code, title, expected, least } = criterion;
        const grade = grades[code];
        return (
          <Choice
            key={code}
            label={title}
            help={least === null ? expected : words.expectedFrom(expected, least)}
            options={optionsOf(criterion)}
            value={grade === undefined ? null : String(grade)}
            onChange={(text) => onChange({ ...grades, [code]: gradeOf(text) })}
          />
        );
      })}
    </div>
  );
}

/** The usual criteria of a stain, which may be left out. */
export function UsualCriteria({ criteria, grades, onChange }: Given) {
  return (
    <div className="form">
      {criteria.map((criterion) => (
        <SelectField
          key={criterion.code}
          label={criterion.title}
          help={criterion.expected}
          value={grades[criterion.code] === undefined ? '' : String(grades[criterion.code])}
          onChange={(text) => onChange({ ...grades, [criterion.code]: gradeOf(text) })}
          options={optionsOf(criterion)}
          empty={words.notGraded}
        />
      ))}
    </div>
  );
}

function optionsOf({ grades }: Criterion): { id: string; name: string }[] {
  if (grades !== null) return grades.map((name, grade) => ({ id: String(grade), name: `${grade}: ${name}` }));
  return [
    { id: 'pass', name: words.pass },
    { id: 'fail', name: words.fail },
  ];
}

function gradeOf(text: string): CriterionReading['grade'] {
  return text === 'pass' || text === 'fail' ? text : (Number(text) as CriterionReading['grade']);
}
