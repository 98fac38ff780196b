import { useQuery } from '@tanstack/react-query';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { KnownSignature } from '../api.paths.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { Thing } from './links.js';
import { PeriodFields, ScopeNote, usePeriod } from './period.js';
import './review.css';
import { REVIEW } from './words.js';

const words = REVIEW.signatures;

/** Directors' signatures against when they held the role; those outside of it first. */
export default function SignaturesScreen() {
  const { format } = useSession();
  const period = usePeriod();
  const { from, to } = period;
  const { data, error, refetch } = useQuery({
    queryKey: ['review', 'signatures', from, to],
    queryFn: () => got(api.GET('/api/review/signatures', { params: { query: { from, to } } })),
    enabled: period.ready,
    staleTime: Number.POSITIVE_INFINITY,
  });
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <ScopeNote scope={period.scope} />
      {period.ready && (
        <div className="finder">
          <PeriodFields period={period} />
        </div>
      )}
      {period.ready && !data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && (
        <>
          <Part title={words.tenures} {...(data.tenures.length === 0 && { about: words.noTenures })}>
            <dl className="facts">
              {data.tenures.map(({ personId, name, from: since, until }) => (
                <div key={`${personId} ${since}`}>
                  <dt>{name}</dt>
                  <dd>{words.held(format.dayAndClock(since), until === null ? null : format.dayAndClock(until))}</dd>
                </div>
              ))}
            </dl>
          </Part>
          <Part title={data.total === 0 ? words.none : words.summary(data.outside, data.total)}>
            {data.total > 0 && <Signed signatures={data.signatures} />}
            {data.signatures.length < data.total && <p className="small">{REVIEW.ask.cut(data.signatures.length)}</p>}
          </Part>
        </>
      )}
      <p className="small">{REVIEW.caution}</p>
    </Page>
  );
}

function Signed({ signatures }: { signatures: readonly KnownSignature[] }) {
  const { format } = useSession();
  const roles = (held: KnownSignature['held']): string => held.map((role) => REVIEW.reviews.roles[role]).join(', ');
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.who}</th>
            <th scope="col">{words.what}</th>
            <th scope="col">{words.time}</th>
            <th scope="col">{words.needs}</th>
            <th scope="col">{words.roles}</th>
          </tr>
        </thead>
        <tbody>
          {signatures.map(({ id, name, what, kind, ref, at, needs, held, authorised }) => (
            <tr key={id}>
              <th scope="row">
                {name} <Tag frame={authorised ? 'plain' : 'full'}>{authorised ? words.inside : words.outside}</Tag>
              </th>
              <td data-label={words.what}>
                <Thing kind={kind} id={ref}>
                  {what}
                </Thing>
              </td>
              <td data-label={words.time} className="figures">
                {format.toTheSecond(at)}
              </td>
              <td data-label={words.needs}>{roles(needs)}</td>
              <td data-label={words.roles}>{held.length === 0 ? words.noRole : roles(held)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
