import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Picture } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { figures } from '../parts/numbers.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { Thumbnail } from '../parts/PictureField.js';
import { MeasureSheet } from './MeasureSheet.js';
import { Outlined } from './Outlined.js';
import { exposureText } from './exposure.js';
import './pictures.css';
import { metricWords, PICTURES as words } from './words.js';

const LOOK_AGAIN_MS = 1_000;
const FRAMES = { waiting: 'soft', 'under way': 'soft', measured: 'plain', refused: 'full' } as const;

/** Pictures of controls, newest first, each with its figures. */
export default function PicturesScreen() {
  const { may } = useSession();
  const [measuring, setMeasuring] = useState(false);
  const pictures = useInfiniteQuery({
    queryKey: ['pictures'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/pictures', { params: { query: { take: 20, ...(pageParam !== null && { after: pageParam }) } } }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
    // How far the work is, is nothing that the server tells by itself.
    refetchInterval: ({ state }) =>
      state.data?.pages.some(({ items }) => items.some(isOpen)) === true ? LOOK_AGAIN_MS : false,
  });
  const all = pictures.data?.pages.flatMap(({ items }) => items) ?? [];
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        may('technician', 'releaser', 'manager', 'director') && (
          <Button onPress={() => setMeasuring(true)}>{words.measure}</Button>
        )
      }
    >
      {!pictures.data && <Waiting error={pictures.error} onRetry={() => void pictures.refetch()} />}
      {pictures.data && all.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {all.map((picture) => (
          <li key={picture.id}>
            <PictureLine picture={picture} />
          </li>
        ))}
      </ul>
      {pictures.hasNextPage && (
        <Button onPress={() => void pictures.fetchNextPage()} isDisabled={pictures.isFetchingNextPage}>
          {words.more}
        </Button>
      )}
      {measuring && <MeasureSheet onClose={() => setMeasuring(false)} />}
    </Page>
  );
}

function isOpen({ state }: Picture): boolean {
  return state === 'waiting' || state === 'under way';
}

function PictureLine({ picture }: { picture: Picture }) {
  const { format } = useSession();
  const { file, state, progress, at, kind, subject, width, height, remarks, refused, metrics, exposure } = picture;
  return (
    <article className="measured-picture">
      {picture.outline ? <Outlined picture={picture} outline={picture.outline} /> : <Thumbnail file={file} />}
      <div>
        <h2 className="line-title">{file.name}</h2>
        <p className="tag-line">
          <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>
          {progress !== null && (
            <span>
              <progress value={progress} aria-label={words.states['under way']} /> {words.done(progress)}
            </span>
          )}
        </p>
        <p className="small">
          {[
            format.dayAndClock(at),
            words.kinds[kind],
            width !== undefined && height !== undefined && words.size(width, height),
            exposureText(exposure),
            subject && words[subject.kind],
          ]
            .filter(Boolean)
            .join(' · ')}
        </p>
        {refused !== undefined && <p>{refused}</p>}
        {remarks.map((remark) => (
          <p key={remark} className="small">
            {remark}
          </p>
        ))}
      </div>
      {metrics && <Figures metrics={metrics} name={file.name} />}
    </article>
  );
}

function Figures({ metrics, name }: { metrics: Record<string, number | null>; name: string }) {
  return (
    <dl className="figures-of" aria-label={`${words.figure}: ${name}`}>
      {Object.entries(metrics).map(([metric, value]) => (
        <div key={metric}>
          <dt>{metricWords(metric)}</dt>
          <dd className="figures">{value === null ? words.nothing : figures(value)}</dd>
        </div>
      ))}
    </dl>
  );
}
