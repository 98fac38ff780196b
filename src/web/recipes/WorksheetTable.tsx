import { Link } from 'react-aria-components';
import type { WorksheetLine } from '../api.paths.js';
import { shortLabel } from '../parts/format.js';
import { figures } from '../parts/numbers.js';
import { amountText } from './amounts.js';
import { RECIPES } from './words.js';

const words = RECIPES.page;

/** What a line asks for, as it is said at the balance. */
export function askedText({
  amount,
  makeUpTo,
  untilReading,
}: Pick<WorksheetLine, 'amount' | 'makeUpTo' | 'untilReading'>): string {
  const text = amountText(amount);
  if (makeUpTo) return words.upTo(text);
  return untilReading ? words.guide(text) : text;
}

/** The worksheet: what to weigh and pour in order, and from which bottles first. */
export function WorksheetTable({
  lines,
  names,
  madeBy,
}: {
  lines: readonly WorksheetLine[];
  names: Record<string, string>;
  madeBy: Record<string, string[]>;
}) {
  return (
    <div className="table-place">
      <table className="worksheet">
        <thead>
          <tr>
            <th scope="col">{words.step}</th>
            <th scope="col">{words.takes}</th>
            <th scope="col">{words.amount}</th>
            <th scope="col">{words.from}</th>
          </tr>
        </thead>
        <tbody>
          {lines.map((line) => (
            <tr key={line.line}>
              <th scope="row" className="figures">
                {line.line}
              </th>
              <td data-label={words.takes}>
                <strong>{line.name}</strong> {line.formula !== null && <span className="small">{line.formula}</span>}
                {line.how !== null && <span className="worksheet-more">{line.how}</span>}
                {(madeBy[line.takes] ?? []).length > 0 && (
                  <span className="worksheet-more small">
                    {words.made}{' '}
                    {(madeBy[line.takes] ?? []).map((code) => (
                      <Link key={code} href={`/stock/recipes/${code}`}>
                        {code}
                      </Link>
                    ))}
                  </span>
                )}
              </td>
              <td data-label={words.amount}>
                <strong className="worksheet-amount figures">{askedText(line)}</strong>
                {line.within !== null && (
                  <span className="worksheet-more small figures">
                    {words.within(
                      figures(line.within.least),
                      amountText({ value: line.within.most, unit: line.amount.unit }),
                    )}
                  </span>
                )}
                {line.dilutes !== null && (
                  <span className="worksheet-more small figures">
                    {words.dilutes(amountText(line.dilutes.from), amountText(line.dilutes.to))}
                  </span>
                )}
                {line.mmolPerL !== null && (
                  <span className="worksheet-more small figures">{words.strength(figures(line.mmolPerL))}</span>
                )}
                {line.instead.map(({ takes, formula, amount }) => (
                  <span key={takes} className="worksheet-more small figures">
                    {words.instead(amountText(amount), names[takes] ?? takes, formula)}
                  </span>
                ))}
              </td>
              <td data-label={words.from}>
                <Containers line={line} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

const SHOWN = 3;

/** Where a line can be taken from, first expired first. */
export function Containers({ line: { water, containers, short } }: { line: WorksheetLine }) {
  if (water) return <span className="small">{words.tap}</span>;
  return (
    <>
      {containers.length === 0 && <span className="small">{words.noContainer}</span>}
      <ul className="worksheet-from">
        {containers.slice(0, SHOWN).map(({ id, label, onHand, opened, take }) => (
          <li key={id}>
            <span className="label">{shortLabel(label)}</span>{' '}
            <span className="small figures">
              {[
                take && words.take(amountText(take)),
                onHand === null ? words.unknownLeft : words.left(amountText(onHand)),
                !opened && words.closed,
              ]
                .filter(Boolean)
                .join(', ')}
            </span>
          </li>
        ))}
      </ul>
      {short !== null && containers.length > 0 && <span className="small">{words.short(amountText(short))}</span>}
    </>
  );
}
