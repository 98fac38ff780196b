import { useQuery } from '@tanstack/react-query';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import { useCatalogue } from '../bench/bench.js';
import { asWords, shortLabel } from '../parts/format.js';
import { Tag } from '../parts/Page.js';
import { fileAddress } from '../parts/upload.js';
import { exposureText } from '../pictures/exposure.js';
import type { ControlResult } from './queries.js';
import './results.css';
import { RESULTS as words } from './words.js';

/** Whether it reacted, by word and frame; and what a second reader made of it. */
export function ResultTags({ result: { passed, second } }: { result: Pick<ControlResult, 'passed' | 'second'> }) {
  return (
    <>
      <Tag frame={passed ? 'plain' : 'full'}>{passed ? words.passed : words.failed}</Tag>{' '}
      {second === 'disagrees' && <Tag frame="double">{words.disagree}</Tag>}
      {second === 'agrees' && <Tag>{words.agrees}</Tag>}
      {second === 'settled' && <Tag>{words.settled}</Tag>}
    </>
  );
}

/** What each reader saw, with criteria. */
export function Readings({ result }: { result: ControlResult }) {
  const { format } = useSession();
  return (
    <ul className="grades">
      {result.readings.map(({ id, observed, at, person, reading, criteria }) => (
        <li key={id}>
          <p>
            “{observed}” <span className="small">{words.by(person ?? '', words.readings[reading])}</span>{' '}
            <time className="small figures" dateTime={at}>
              {format.dayAndClock(at)}
            </time>
          </p>
          {criteria && (
            <p className="small">
              {criteria
                .map(({ criterion, grade, seen }) =>
                  [asWords(criterion), words.grade(grade), seen].filter((each) => each !== undefined).join(' '),
                )
                .join(' · ')}
            </p>
          )}
        </li>
      ))}
    </ul>
  );
}

/** Pictures of a control, each with a name that tells them apart. */
export function Pictures({ result }: { result: ControlResult }) {
  if (result.pictures.length === 0) return null;
  return (
    <ul className="result-pictures">
      {result.pictures.map((id, n) => (
        <li key={id}>
          <figure>
            <a href={fileAddress(id)} target="_blank" rel="noreferrer">
              <img src={fileAddress(id)} alt={words.picture(n + 1, controlName(result))} loading="lazy" />
            </a>
            <Exposure file={id} />
          </figure>
        </li>
      ))}
    </ul>
  );
}

/** How a picture was taken, as its measuring says: two pictures compare only at the same exposure. */
function Exposure({ file }: { file: string }) {
  const { data } = useQuery({
    queryKey: ['pictures', 'of-file', file],
    queryFn: () => got(api.GET('/api/pictures', { params: { query: { fileId: file, take: 1 } } })),
  });
  if (!data) return null;
  const text = exposureText(data.items[0]?.exposure ?? {});
  return <figcaption className="small">{text === null ? words.noExposure : words.exposure(text)}</figcaption>;
}

/** The lots that a control was stained with. */
export function Lots({ lots }: { lots: ControlResult['lots'] }) {
  const { name } = useCatalogue();
  return (
    <ul className="grades">
      {Object.entries(lots).map(([reagent, lot]) => (
        <li key={reagent}>
          <Link href={`/stock/${lot}`}>{name(reagent)}</Link>
        </li>
      ))}
    </ul>
  );
}

/** 'Positive control TARN-2013' */
export function controlName({ requirement, label }: Pick<ControlResult, 'requirement' | 'label'>): string {
  return label === null ? asWords(requirement) : `${asWords(requirement)} ${shortLabel(label)}`;
}
