import type { ReactNode } from 'react';

/** A table of counts; the first cell of a row names it. */
export function Counts({
  titles,
  rows,
}: {
  titles: readonly string[];
  rows: readonly { key: string; cells: readonly ReactNode[] }[];
}) {
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            {titles.map((title) => (
              <th key={title} scope="col">
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ key, cells: [name, ...rest] }) => (
            <tr key={key}>
              <th scope="row">{name}</th>
              {rest.map((cell, n) => (
                <td key={titles[n + 1]} data-label={titles[n + 1]} className="figures">
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
