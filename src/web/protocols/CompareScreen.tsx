import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { api, got } from '../api.js';
import type { Difference, Revision } from '../api.paths.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { placeOf, Value } from './Differences.js';
import { useRevision } from './protocols.js';
import './protocols.css';
import { RevisionTags } from './Standing.js';
import { Timeline } from './Timeline.js';
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
          {first.data && second.data && data.differences.some(({ path }) => path[0] === 'steps') && (
            <Part title={PROTOCOLS.timeline.title} about={words.oneAxis}>
              {[first.data, second.data].map((revision, n, both) => (
                <div key={revision.id}>
                  <h3>{PROTOCOLS.revision(revision.number)}</h3>
                  <Timeline protocol={revision.content} beside={(both[1 - n] ?? revision).content} />
                </div>
              ))}
            </Part>
          )}
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
