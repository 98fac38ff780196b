import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { ReviewGrant } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { GrantSheet, RevokeSheet } from './grant-sheets.js';
import { shortId, Thing } from './links.js';
import './review.css';
import { REVIEW } from './words.js';

const words = REVIEW.reviews;

const FRAMES = { 'to come': 'soft', valid: 'double', ended: 'plain', revoked: 'plain' } as const;

/** Who may look at the record from outside, and what they looked at. */
export default function ReviewsScreen() {
  const { may } = useSession();
  const gives = may('administrator', 'director');
  const [giving, setGiving] = useState(false);
  const [revoking, setRevoking] = useState<ReviewGrant | null>(null);
  const { data, error, refetch } = useQuery({
    queryKey: ['people', 'review-grants'],
    queryFn: () => got(api.GET('/api/review/grants')),
  });
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={gives && <Button onPress={() => setGiving(true)}>{words.give}</Button>}
    >
      <Part title={words.grants}>
        {!data && <Waiting error={error} onRetry={() => void refetch()} />}
        {data?.length === 0 && (
          <Nothing title={words.noGrants}>
            <p>{words.noGrantsHelp}</p>
          </Nothing>
        )}
        <ul className="lines">
          {data?.map((grant) => (
            <li key={grant.id}>
              <GrantLine grant={grant} {...(gives && { onRevoke: () => setRevoking(grant) })} />
            </li>
          ))}
        </ul>
      </Part>
      <Looks />
      {giving && <GrantSheet onClose={() => setGiving(false)} />}
      {revoking && <RevokeSheet grant={revoking} onClose={() => setRevoking(null)} />}
    </Page>
  );
}

function GrantLine({ grant, onRevoke }: { grant: ReviewGrant; onRevoke?: () => void }) {
  const { format } = useSession();
  const { name, standing, reason, from, to, validFrom, validUntil, protocols, areas, by, at, revokedReason } = grant;
  const kept = [...(protocols ?? []), ...(areas ?? [])];
  const open = standing === 'valid' || standing === 'to come';
  return (
    <article className="matter">
      <div className="matter-text">
        <p className="tag-line">
          <span className="line-title">{name}</span> <Tag frame={FRAMES[standing]}>{words.standings[standing]}</Tag>
        </p>
        <p>{reason}</p>
        <p className="small">
          {[
            words.period(format.day(from), format.lastDay(to)),
            words.valid(format.day(validFrom), format.lastDay(validUntil)),
            kept.length === 0 ? words.all : kept.join(', '),
            words.given(by, format.dayAndClock(at)),
          ].join(' · ')}
        </p>
        {revokedReason !== null && <p className="small">{words.revoked(revokedReason)}</p>}
      </div>
      {onRevoke && open && (
        <Button aria-label={`${words.revoke}: ${name}`} onPress={onRevoke}>
          {words.revoke}
        </Button>
      )}
    </article>
  );
}

function Looks() {
  const { format } = useSession();
  const { data, error, refetch, hasNextPage, isFetchingNextPage, fetchNextPage } = useInfiniteQuery({
    queryKey: ['review', 'looks'],
    queryFn: ({ pageParam }) =>
      got(api.GET('/api/review/looks', { params: { query: { ...(pageParam !== null && { before: pageParam }) } } })),
    initialPageParam: null as number | null,
    getNextPageParam: ({ next }) => next,
  });
  const looks = data?.pages.flatMap((page) => page.looks) ?? [];
  const total = data?.pages[0]?.total ?? 0;
  return (
    <Part
      title={words.looks}
      {...(data && { about: total === 0 ? words.noLooks : words.looksAbout(looks.length, total) })}
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {looks.length > 0 && (
        <div className="table-place">
          <table>
            <thead>
              <tr>
                <th scope="col">{words.time}</th>
                <th scope="col">{words.by}</th>
                <th scope="col">{words.look}</th>
                <th scope="col">{words.asked}</th>
              </tr>
            </thead>
            <tbody>
              {looks.map(({ seq, at, name, kind, about, asked, period }) => (
                <tr key={seq}>
                  <td data-label={words.time} className="figures">
                    {format.toTheSecond(at)}
                  </td>
                  <td data-label={words.by}>{name}</td>
                  <td data-label={words.look}>
                    {kind}{' '}
                    <Thing kind={kind} id={about}>
                      <code>{shortId(about)}</code>
                    </Thing>
                    {period && (
                      <span className="small">
                        {' '}
                        {words.lookPeriod(format.day(period.from), format.lastDay(period.to))}
                      </span>
                    )}
                  </td>
                  <td data-label={words.asked}>
                    <code>{asked}</code>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {hasNextPage && (
        <p>
          <Button isDisabled={isFetchingNextPage} onPress={() => void fetchNextPage()}>
            {REVIEW.more}
          </Button>
        </p>
      )}
    </Part>
  );
}
