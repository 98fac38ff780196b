import type { ReactNode } from 'react';
import { Link } from 'react-aria-components';
import type { Weight } from '../../core/gate/finding.js';
import type { Phase } from '../../core/run/next.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import '../bench/bench.css';
import { BENCH } from '../bench/words.js';
import { useGuide } from '../guide/guide.js';
import { Button } from '../parts/Button.js';
import { Finder } from '../parts/Finder.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Tag } from '../parts/Page.js';
import '../release/release.css';
import { WORDS } from '../words.js';
import './help.css';
import { TERMS } from './terms.js';
import { HELP as words } from './words.js';

const PHASES = ['early', 'open', 'closing', 'over'] as const satisfies readonly Phase[];
const WEIGHTS = ['stop', 'caution', 'note'] as const satisfies readonly Weight[];
const FRAMES = ['plain', 'soft', 'double', 'full'] as const;

const PARTS = ['terms', 'keys', 'shapes', 'offline', 'cautions', 'ask'] as const;

/** What the words, keys and shapes of the program mean, and what to do when something is in the way. */
export default function HelpScreen() {
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <nav aria-label={words.onPage} className="help-parts">
        {PARTS.map((part) => (
          <a key={part} href={`#${part}`}>
            {words[part].title}
          </a>
        ))}
      </nav>
      <Led />
      <Terms />
      <Keys />
      <Shapes />
      <Part id="offline" title={words.offline.title}>
        <Lines ordered lines={words.offline.lines} />
        <p className="help-text">{words.offline.refused}</p>
        <p>
          <Link href="/paper">{words.offline.toPaper}</Link>
        </p>
      </Part>
      <Part id="cautions" title={words.cautions.title}>
        <Lines lines={words.cautions.lines} />
      </Part>
      <Part id="ask" title={words.ask.title}>
        <Meanings of={words.ask.lines.map(({ who, what }) => ({ key: who, sign: who, means: what }))} />
      </Part>
    </Page>
  );
}

/** The way back to the guide, for those who have one. */
function Led() {
  const guiding = useGuide();
  const { laboratory } = useSession();
  if (!guiding) return null;
  const { away, setAway } = guiding;
  const bring = (): void => {
    setAway(false);
    say(words.guide.brought);
  };
  return (
    <Part title={words.guide.title} about={laboratory.demo ? words.guide.firstHour : words.guide.firstSteps}>
      <p className="help-ways">
        <Link className="button" href="/guide">
          {words.guide.open}
        </Link>
        {away ? <Button onPress={bring}>{words.guide.bring}</Button> : <span>{words.guide.isShown}</span>}
      </p>
    </Part>
  );
}

function Terms() {
  const [wanted, setWanted] = useText('find');
  const asked = wanted.trim().toLowerCase();
  const groups = TERMS.map(({ group, terms }) => ({
    group,
    terms: terms.filter(({ word, means }) => `${word} ${means}`.toLowerCase().includes(asked)),
  })).filter(({ terms }) => terms.length > 0);
  const found = groups.reduce((sum, { terms }) => sum + terms.length, 0);
  const all = TERMS.reduce((sum, { terms }) => sum + terms.length, 0);
  return (
    <Part id="terms" title={words.terms.title} about={words.terms.about}>
      <Finder label={words.terms.find} text={wanted} onText={setWanted} found={found} all={all} />
      {found === 0 && (
        <Nothing title={words.terms.none}>
          <p>{words.terms.noneHelp}</p>
        </Nothing>
      )}
      {groups.map(({ group, terms }) => (
        <div key={group} className="help-group">
          <h3>{group}</h3>
          <Meanings of={terms.map(({ word, means }) => ({ key: word, sign: word, means }))} />
        </div>
      ))}
    </Part>
  );
}

function Keys() {
  const { title, lines, scan, camera, skip } = words.keys;
  return (
    <Part id="keys" title={title}>
      <Meanings
        of={lines.map(({ keys, does }) => ({
          key: keys.join('+'),
          sign: keys.map((key) => (
            <kbd key={key} className="key">
              {key}
            </kbd>
          )),
          means: does,
        }))}
      />
      <Lines lines={[scan, camera, skip]} />
    </Part>
  );
}

function Shapes() {
  const { title, about, phases, phase, scale, weights, weight, tags, tag, ahead } = words.shapes;
  return (
    <Part id="shapes" title={title} about={about}>
      <div className="help-group">
        <h3>{phases}</h3>
        <Meanings
          of={PHASES.map((each) => ({
            key: each,
            sign: (
              <span className={`phase-${each}`}>
                <span className="phase-word">{BENCH.phase[each]}</span>
              </span>
            ),
            means: phase[each],
          }))}
        />
        <p className="help-scale">
          <span className="ruler" aria-hidden="true">
            <span className="ruler-window" style={{ left: '35%', right: '15%' }} />
            <span className="ruler-target" style={{ left: '60%' }} />
            <span className="ruler-run" style={{ transform: 'scaleX(0.5)' }} />
          </span>
          <span>{scale}</span>
        </p>
        <p className="help-text">{ahead}</p>
      </div>
      <div className="help-group">
        <h3>{weights}</h3>
        <Meanings
          of={WEIGHTS.map((each) => ({
            key: each,
            sign: <span className={`weight-mark weight-${each}`}>{WORDS.held[each]}</span>,
            means: weight[each],
          }))}
        />
      </div>
      <div className="help-group">
        <h3>{tags}</h3>
        <Meanings
          of={FRAMES.map((frame) => ({
            key: frame,
            sign: <Tag frame={frame}>{tag[frame].word}</Tag>,
            means: tag[frame].means,
          }))}
        />
      </div>
    </Part>
  );
}

/** Words or signs and what they mean. */
function Meanings({ of }: { of: readonly { key: string; sign: ReactNode; means: string }[] }) {
  return (
    <dl className="help-meanings">
      {of.map(({ key, sign, means }) => (
        <div key={key}>
          <dt>{sign}</dt>
          <dd>{means}</dd>
        </div>
      ))}
    </dl>
  );
}

function Lines({ lines, ordered = false }: { lines: readonly string[]; ordered?: boolean }) {
  const items = lines.map((line) => <li key={line}>{line}</li>);
  return ordered ? <ol className="help-lines">{items}</ol> : <ul className="help-lines">{items}</ul>;
}
