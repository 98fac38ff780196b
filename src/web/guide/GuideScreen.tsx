import { use } from 'react';
import { Link } from 'react-aria-components';
import type { Task } from '../../core/guide/tasks.js';
import { Button } from '../parts/Button.js';
import { Opens } from '../parts/opens.js';
import { Nothing, Page, Tag } from '../parts/Page.js';
import './guide.css';
import { useGuide } from './guide.js';
import { GUIDE as words } from './words.js';

/** What somebody new does first, what each thing is for, and how far they are. */
export default function GuideScreen() {
  const guiding = useGuide();
  if (!guiding) {
    return (
      <Page title={words.title}>
        <Nothing title={words.nothing} first={{ href: '/help', word: words.toHelp }}>
          <p>{words.nothingHelp}</p>
        </Nothing>
      </Page>
    );
  }
  const { id, tasks, done, next, away, setAway } = guiding;
  const { title, about, over } = words.guides[id];
  return (
    <Page
      title={title}
      about={<p>{about}</p>}
      ways={<Button onPress={() => setAway(!away)}>{away ? words.show : words.putAwayFromPages}</Button>}
    >
      <p role="status">
        {words.counted(done.size, tasks.length)}
        {next === null && ` ${over}`}
      </p>
      <ol className="guide-tasks">
        {tasks.map((task) => (
          <TaskLine key={task.id} task={task} isDone={done.has(task.id)} isNext={task === next} />
        ))}
      </ol>
      <p className="small">{id === 'first-steps' ? words.toldByLaboratory : words.told}</p>
      <p>
        <Link href="/help">{words.toHelp}</Link>
      </p>
    </Page>
  );
}

function TaskLine({ task: { id, path }, isDone, isNext }: { task: Task; isDone: boolean; isNext: boolean }) {
  const opens = use(Opens);
  const said = words.tasks[id];
  if (!said) return null;
  return (
    <li className={isNext ? 'guide-task guide-task-next' : 'guide-task'}>
      <span className={isDone ? 'guide-mark guide-mark-done' : 'guide-mark'} aria-hidden="true" />
      <div className="guide-task-text">
        <h2>{said.title}</h2>
        <p>{said.why}</p>
        <p className="small">{said.how}</p>
        {opens(path) ? (
          <p>
            <Link href={path}>{words.openFor(said.title)}</Link>
          </p>
        ) : (
          <p className="small">{words.another}</p>
        )}
      </div>
      <p className="guide-standing">
        {isDone ? <Tag>{words.done}</Tag> : isNext ? <Tag frame="double">{words.isNext}</Tag> : null}
      </p>
    </li>
  );
}
