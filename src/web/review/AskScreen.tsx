import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Button as AriaButton } from 'react-aria-components';
import { useParam } from '../app/router.js';
import { api, got } from '../api.js';
import { type TopicName, TOPICS } from '../../core/ask/topics.js';
import { Field } from '../parts/Field.js';
import { Nothing, Page, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { AnswerView } from './Answer.js';
import { type Period, PeriodFields, ScopeNote, usePeriod } from './period.js';
import './review.css';
import { REVIEW } from './words.js';

const words = REVIEW.ask;

/** Questions on the record: what about, in which period, and the answer. */
export default function AskScreen() {
  const [given, setTopic] = useParam('topic');
  const [about, setAbout] = useParam('about');
  const period = usePeriod();
  const topic: TopicName = TOPICS.find((each) => each === given) ?? 'day';
  // A day is asked about as soon as the page opens: today, or the last day that may be seen.
  const asked = topic === 'day' ? (about ?? period.to) : about;
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <ScopeNote scope={period.scope} />
      {period.ready && (
        <div className="finder">
          <SelectField<TopicName>
            label={words.topic}
            value={topic}
            onChange={(id) => {
              setAbout(null);
              setTopic(id);
            }}
            options={TOPICS.map((id) => ({ id, name: words.topics[id] }))}
          />
          {topic === 'day' ? (
            <Field label={words.day} type="date" value={asked ?? ''} onChange={(day) => setAbout(day || null)} />
          ) : (
            <PeriodFields period={period} />
          )}
        </div>
      )}
      {period.ready && topic !== 'day' && asked === null && (
        <Finder key={topic} topic={topic} period={period} onChosen={setAbout} />
      )}
      {period.ready && asked !== null && asked !== '' && (
        <AnswerView
          key={`${topic} ${asked}`}
          question={{ topic, about: asked, from: period.from, to: period.to }}
          {...(topic !== 'day' && { onOther: () => setAbout(null) })}
        />
      )}
      <p className="small">{REVIEW.caution}</p>
    </Page>
  );
}

/** Finds what is asked about by its name. */
function Finder({ topic, period, onChosen }: { topic: TopicName; period: Period; onChosen: (id: string) => void }) {
  const [text, setText] = useState('');
  const typed = text.trim();
  const { from, to } = period;
  const { data, error, refetch } = useQuery({
    queryKey: ['review', 'find', topic, typed, from, to],
    queryFn: () => got(api.GET('/api/review/find', { params: { query: { topic, text: typed, from, to } } })),
    enabled: typed.length >= 2,
    placeholderData: (before) => before,
  });
  return (
    <div className="review-find">
      <Field
        label={words.find[topic]}
        help={words.findHelp}
        value={text}
        onChange={setText}
        type="search"
        autoComplete="off"
        takesFocus
      />
      {typed.length < 2 && (
        <Nothing title={words.choose}>
          <p>{words.chooseHelp}</p>
        </Nothing>
      )}
      {typed.length >= 2 && error && <Waiting error={error} onRetry={() => void refetch()} />}
      {typed.length >= 2 && data && (
        <>
          <p role="status" className="small">
            {data.length === 0 ? words.foundNone : words.found(data.length)}
          </p>
          <ul className="review-found">
            {data.map(({ id, label, detail }) => (
              <li key={id}>
                <AriaButton className="button button-plain" onPress={() => onChosen(id)}>
                  {label} <span className="small">{detail}</span>
                </AriaButton>
              </li>
            ))}
          </ul>
        </>
      )}
    </div>
  );
}
