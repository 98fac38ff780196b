import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { unitText } from '../parts/format.js';
import { figures } from '../parts/numbers.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { type Series, useSeriesList } from './queries.js';
import { CreateSheet } from './CreateSheet.js';
import { RESULTS } from './words.js';

const words = RESULTS.charts;

/** Every series of numbers with where it stands. */
export default function ChartsScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useSeriesList();
  const [creating, setCreating] = useState(false);
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={may('manager', 'director') && <Button onPress={() => setCreating(true)}>{words.create}</Button>}
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.items.length === 0 && (
        <Nothing title={words.none}>
          <p>{words.noneHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {data?.items.map((series) => (
          <li key={series.code}>
            <SeriesLine series={series} />
          </li>
        ))}
      </ul>
      {creating && <CreateSheet onClose={() => setCreating(false)} />}
    </Page>
  );
}

function SeriesLine({ series: { title, unit, levels, limits } }: { series: Series }) {
  return (
    <div>
      <p>
        <Link href={`/controls/charts/${levels[0]?.id ?? ''}`} className="line-title">
          {title}
        </Link>
      </p>
      <p className="tag-line">
        {levels.map(({ id, level }) => {
          const own = limits.filter(({ seriesId }) => seriesId === id).at(-1);
          return (
            <span key={id}>
              {level} ({unitText(unit)}):{' '}
              {own ? `${figures(own.mean)} ± ${figures(own.sd)}` : <Tag frame="soft">{words.noLimits}</Tag>}{' '}
              {own?.provisional && <Tag frame="soft">{words.provisional}</Tag>}
            </span>
          );
        })}
      </p>
    </div>
  );
}
