import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { api, got } from '../api.js';
import type { Difference, Revision } from '../api.paths.js';
import { asWords } from '../parts/format.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { useRevision } from './protocols.js';
import './protocols.css';
import { RevisionTags } from './Standing.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.compare;

/** Two revisions of one protocol side by side, only where they differ. */
export default function CompareScreen({ a = '', b = '' }: ScreenProps) {
  const first = useRevision(a);
  const second = useRevision(b);
  const { data, error, refetch } = useQuery({
    queryKey: ['protocols', 'compare', a, b],
    queryFn: () => got(api.GET('/api/revisions/{a}/compare/{b}', { params: { path: { a, b } } })),
  });
  return (
    <Page
      title={second.data?.title ?? words.title}
      above={{ href: `/protocols/${b}`, word: second.data ? PROTOCOLS.revision(second.data.number) : PROTOCOLS.title }}
      about={<p>{data ? words.differences(data.differences.length) : words.title}</p>}
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.differences.length === 0 && <p>{words.same}</p>}
      {data && (
        <>
          <Side sides={[first.data, second.data]} differences={data.differences.filter((each) => !ofStanding(each))} />
          {data.differences.some(ofStanding) && (
            <Part title={words.standing} about={words.standingAbout}>
              <Side sides={[first.data, second.data]} differences={data.differences.filter(ofStanding)} />
            </Part>
          )}
        </>
      )}
    </Page>
  );
}

/** Whether only what a figure stands on differs. */
function ofStanding({ path }: Difference): boolean {
  const last = path.at(-1);
  return last === 'status' || last === 'window';
}

function Side({
  sides,
  differences,
}: {
  sides: readonly (Revision | undefined)[];
  differences: readonly Difference[];
}) {
  if (differences.length === 0) return null;
  const [first, second] = sides.map((side) => side && PROTOCOLS.revision(side.number));
  return (
    <div className="table-place">
      <table className="compare">
        <thead>
          <tr>
            <th scope="col">{words.place}</th>
            {sides.map((side, n) => (
              <th key={n} scope="col">
                {side && (
                  <span className="tag-line">
                    <Link href={`/protocols/${side.id}`}>{PROTOCOLS.revision(side.number)}</Link>{' '}
                    <RevisionTags revision={{ ...side, openProposals: side.openProposals.length }} />
                  </span>
                )}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {differences.map((difference) => (
            <tr key={difference.path.join('/')}>
              <th scope="row">{placeOf(difference)}</th>
              <td data-label={first}>
                <Value value={difference.a} />
              </td>
              <td data-label={second}>
                <Value value={difference.b} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** ['steps', 'dye', 'time', 'max'] reads 'Step dye · time · max'. */
function placeOf({ path }: Difference): string {
  const [list, item, ...rest] = path.map(String);
  const named = list === undefined ? undefined : words.lists[list];
  if (named === undefined || item === undefined) return asWords(path.join(' · '));
  const which = /^\d+$/.test(item) ? String(Number(item) + 1) : item.replaceAll('-', ' ');
  return [`${named} ${which}`, ...rest].join(' · ');
}

function Value({ value }: { value: unknown }): ReactNode {
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
