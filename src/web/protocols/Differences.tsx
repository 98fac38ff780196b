import type { ReactNode } from 'react';
import { asWords } from '../parts/format.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.compare;

/** ['steps', 'dye', 'time', 'max'] reads 'Step dye · time · max'. */
export function placeOf({ path }: { path: readonly (string | number)[] }): string {
  const [list, item, ...rest] = path.map(String);
  const named = list === undefined ? undefined : words.lists[list];
  if (named === undefined || item === undefined) {
    // A key such as releasePoints is two words to people.
    return asWords(path.join(' · ').replaceAll(/(?<=[a-z])[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`));
  }
  const which = /^\d+$/.test(item) ? String(Number(item) + 1) : item.replaceAll('-', ' ');
  return [`${named} ${which}`, ...rest].join(' · ');
}

export function Value({ value }: { value: unknown }): ReactNode {
  if (value === undefined) return <span className="small">{words.absent}</span>;
  if (Array.isArray(value)) {
    const items = value as unknown[];
    return (
      <ol className="value-list">
        {items.map((each, n) => (
          <li key={n}>
            <Value value={each} />
          </li>
        ))}
      </ol>
    );
  }
  if (typeof value === 'object' && value !== null) {
    return (
      <dl className="value-keys">
        {Object.entries(value as Record<string, unknown>).map(([key, each]) => (
          <div key={key}>
            <dt>{key}</dt>
            <dd>
              <Value value={each} />
            </dd>
          </div>
        ))}
      </dl>
    );
  }
  return <span className="figures">{String(value)}</span>;
}
