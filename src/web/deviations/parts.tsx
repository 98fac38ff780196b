import { Link } from 'react-aria-components';
import type { DeviationState } from '../../core/deviations/deviation.js';
import { useSession } from '../app/session.js';
import { Tag } from '../parts/Page.js';
import type { Deviation, DueItem } from './queries.js';
import { DEVIATIONS as words } from './words.js';

const FRAMES: Record<DeviationState, 'plain' | 'soft' | 'double' | 'full'> = {
  opened: 'double',
  'cause found': 'double',
  'action under way': 'soft',
  'to be checked': 'soft',
  'not effective': 'full',
  effective: 'double',
  closed: 'plain',
};

/** Where it stands, how grave it is, and whether something is late. */
export function DeviationTags({ deviation: { state, effect, overdue, ended } }: { deviation: Deviation }) {
  return (
    <p className="tag-line">
      {overdue && <Tag frame="full">{words.overdue}</Tag>}
      <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>
      {ended === 'no action needed' && <span className="small">{words.ends[ended].name}</span>}
      <span className="small">{words.effects[effect].name}</span>
    </p>
  );
}

/** What somebody has to do, and until when. */
export function DueLine({ item }: { item: DueItem }) {
  const { format } = useSession();
  return (
    <p>
      {item.overdue && <Tag frame="full">{words.overdue}</Tag>} {words.due[item.kind](item.owner)}{' '}
      <span className="figures">
        {item.notBefore !== null && `${words.notBefore(format.day(item.notBefore))}, `}
        {words.by(format.lastDay(item.due))}
      </span>
      : {item.what}
    </p>
  );
}

/** One in a list: what it is, where it stands, what is to be done. */
export function DeviationLine({ deviation }: { deviation: Deviation }) {
  const { format } = useSession();
  const { id, number, title, due, state, person, at } = deviation;
  return (
    <article className="deviation-line">
      <h3 className="line-title">
        <Link href={`/deviations/${id}`}>
          {number} · {title}
        </Link>
      </h3>
      <DeviationTags deviation={deviation} />
      {due.map((item) => (
        <DueLine key={item.actId} item={item} />
      ))}
      {due.length === 0 && state !== 'closed' && state !== 'effective' && <p>{words.nobody}</p>}
      <p className="small">
        {words.list.openedBy(person, format.day(at))} · {words.subjects[deviation.subject]}
      </p>
    </article>
  );
}
