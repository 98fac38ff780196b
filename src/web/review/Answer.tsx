import { type InfiniteData, useInfiniteQuery } from '@tanstack/react-query';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Answer } from '../api.paths.js';
import type { TopicName } from '../../core/ask/topics.js';
import { Button } from '../parts/Button.js';
import { Nothing, Part, Waiting } from '../parts/Page.js';
import { Competence, Controls, Late, Releases } from './AnswerParts.js';
import { shortId, Thing } from './links.js';
import { REVIEW } from './words.js';

const words = REVIEW.ask;

interface Asked {
  topic: TopicName;
  about: string;
  from: string;
  to: string;
}

/** The answer to one question: late entries first, then what speaks against releases, then every act in order. */
export function AnswerView({ question, onOther }: { question: Asked; onOther?: () => void }) {
  const { format } = useSession();
  const { data, error, refetch, fetchNextPage, hasNextPage, isFetchingNextPage } = useInfiniteQuery<
    Answer,
    Error,
    InfiniteData<Answer>,
    unknown[],
    number | null
  >({
    queryKey: ['review', 'answer', question],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/review/answer', {
          params: { query: { ...question, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null,
    getNextPageParam: ({ next }) => next,
    staleTime: Number.POSITIVE_INFINITY,
  });
  const [answer] = data?.pages ?? [];
  if (!data || !answer) return <Waiting error={error} onRetry={() => void refetch()} />;
  const lines = data.pages.flatMap((page) => page.lines);
  const { about, from, to, acts } = answer;
  const query = new URLSearchParams({ ...question });
  const head = (
    <div className="review-head">
      <h2>
        {question.topic === 'day' ? format.day(from) : about.label} <span className="small">{about.detail}</span>
      </h2>
      <div className="row-ways">
        {onOther && <Button onPress={onOther}>{words.change}</Button>}
        {acts !== 0 && (
          <a className="button button-plain" href={`/api/review/answer.csv?${query.toString()}`} download>
            {words.csv}
          </a>
        )}
      </div>
    </div>
  );
  if (acts === 0) {
    const what = question.topic === 'day' ? words.topics.day.toLowerCase() : about.label;
    return (
      <>
        {head}
        <Nothing title={words.none}>
          <p>{words.noneHelp(what, format.day(from), format.lastDay(to))}</p>
        </Nothing>
      </>
    );
  }
  return (
    <>
      {head}
      <Late answer={answer} />
      <Part title={words.counts}>
        <Counts answer={answer} />
      </Part>
      <Releases answer={answer} />
      <Controls answer={answer} />
      {question.topic === 'person' && <Competence answer={answer} />}
      <Part title={words.acts} about={words.actsAbout(lines.length, acts ?? lines.length)}>
        <Lines lines={lines} />
        {hasNextPage && (
          <Button isDisabled={isFetchingNextPage} onPress={() => void fetchNextPage()}>
            {REVIEW.more}
          </Button>
        )}
      </Part>
    </>
  );
}

function Counts({ answer: { counts } }: { answer: Answer }) {
  return (
    <dl className="review-counts">
      {counts.map(({ what, count, of }) => (
        <div key={what}>
          <dt>{what}</dt>
          <dd>
            <span className="figures review-count">{count}</span>{' '}
            {of && <span className="small">{words.of(of.count, of.what)}</span>}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function Lines({ lines }: { lines: Answer['lines'] }) {
  const { format } = useSession();
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.number}</th>
            <th scope="col">{words.time}</th>
            <th scope="col">{words.what}</th>
            <th scope="col">{words.who}</th>
            <th scope="col">{words.subject}</th>
          </tr>
        </thead>
        <tbody>
          {lines.map(({ seq, at, performedAt, late, what, who, about }) => (
            <tr key={seq}>
              <th scope="row" className="figures">
                {seq}
              </th>
              <td data-label={words.time} className="figures">
                {format.dayAndClock(at)}
                {late && performedAt !== null && (
                  <span className="small">
                    {' '}
                    {words.isLate}: {format.dayAndClock(performedAt)}
                  </span>
                )}
              </td>
              <td data-label={words.what}>{what}</td>
              <td data-label={words.who}>{who ?? words.program}</td>
              <td data-label={words.subject}>
                <Thing kind={about.kind} id={about.id}>
                  {about.label === about.id && `${about.kind.replaceAll('-', ' ')} `}
                  {shortId(about.label)}
                </Thing>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
