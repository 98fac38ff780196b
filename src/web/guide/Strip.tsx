import { use } from 'react';
import { Link } from 'react-aria-components';
import { usePath } from '../app/router.js';
import { Button } from '../parts/Button.js';
import { focusContent } from '../parts/focus.js';
import { say } from '../parts/notices.js';
import { Opens } from '../parts/opens.js';
import './guide.css';
import { useGuide } from './guide.js';
import { GUIDE as words } from './words.js';

/** One line above the page for whoever is new: what comes next, where it is done, and how to be rid of the line. */
export default function Strip() {
  const guiding = useGuide();
  const path = usePath();
  const opens = use(Opens);
  if (!guiding || guiding.away || path === '/guide') return null;
  const { id, tasks, done, next, setAway } = guiding;
  const title = words.guides[id].title;
  const putAway = (): void => {
    setAway(true);
    say(words.putAwayDone);
    // The button is gone with the line that it stood in.
    focusContent();
  };
  return (
    <aside className="guide-strip" aria-label={title}>
      <p className="guide-strip-title">
        {title} <span className="figures">{words.counted(done.size, tasks.length)}</span>
      </p>
      <p className="guide-strip-next" role="status">
        {next ? (
          <>
            {words.next} <strong>{words.tasks[next.id]?.title}</strong>
          </>
        ) : (
          words.guides[id].over
        )}
      </p>
      <div className="guide-strip-ways">
        {next && next.path !== path && opens(next.path) && (
          <Link className="button" href={next.path}>
            {words.go}
          </Link>
        )}
        <Link className="button button-quiet" href="/guide">
          {words.how}
        </Link>
        <Button look="quiet" onPress={putAway}>
          {words.putAway}
        </Button>
      </div>
    </aside>
  );
}
