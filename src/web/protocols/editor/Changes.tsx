import { diffProtocols } from '../../../core/protocol/compare.js';
import type { Protocol } from '../../../core/protocol/protocol.js';
import { placeOf, Value } from '../Differences.js';
import { PROTOCOLS } from '../words.js';
import { EDITOR as words } from './words.js';

/** Where the draft differs from the revision that it is made from. */
export function Changes({ before, after }: { before: Protocol; after: Protocol }) {
  const differences = diffProtocols(before, after);
  if (differences.length === 0) return <p>{words.noChanges}</p>;
  return (
    <div className="table-place">
      <table className="compare">
        <thead>
          <tr>
            <th scope="col">{PROTOCOLS.compare.place}</th>
            <th scope="col">{words.before}</th>
            <th scope="col">{words.after}</th>
          </tr>
        </thead>
        <tbody>
          {differences.map((difference) => (
            <tr key={difference.path.join('/')}>
              <th scope="row">{placeOf(difference)}</th>
              <td data-label={words.before}>
                <Value value={difference.before} />
              </td>
              <td data-label={words.after}>
                <Value value={difference.after} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
