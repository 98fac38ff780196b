import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { CONTROL_TIMES } from '../../core/protocol/protocol.js';
import { navigate } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Confirmation, FigureValue, OpenProposal, Revision } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.open;

/** What a person made of one proposal: the texts of its fields, and whether the laboratory uses it. */
interface Draft {
  taken: boolean;
  texts: Readonly<Record<string, string>>;
}

type Drafts = Readonly<Record<string, Draft>>;

/** The figures that nobody has set yet: each is set or taken as it stands, and what was taken becomes the next draft. */
export function Proposals({ revision }: { revision: Revision }) {
  const queries = useQueryClient();
  const { may } = useSession();
  const proposals = revision.openProposals;
  const [drafts, setDrafts] = useState<Drafts>({});
  const [note, setNote] = useState('');
  const send = useChange(
    (body: { figures: Confirmation[]; note: string }, key) =>
      got(api.POST('/api/revisions/{id}/figures', { params: { path: { id: revision.id } }, body, ...once(key) })),
    async ({ id, number, openProposals }) => {
      say(words.done(number));
      await queries.invalidateQueries({ queryKey: ['protocols'] });
      navigate(`/protocols/${id}${openProposals.length > 0 ? '#proposals' : ''}`);
    },
  );
  if (proposals.length === 0) return <p>{words.none}</p>;
  const mayset = may('manager', 'director');
  const draftOf = (proposal: OpenProposal): Draft =>
    drafts[keyOf(proposal)] ?? { taken: false, texts: textsOf(proposal.value) };
  const set = (proposal: OpenProposal, draft: Draft): void => setDrafts({ ...drafts, [keyOf(proposal)]: draft });
  const takeAll = (taken: boolean): void =>
    setDrafts(Object.fromEntries(proposals.map((each) => [keyOf(each), { ...draftOf(each), taken }])));
  const taken = proposals.filter((each) => draftOf(each).taken);
  const faulty = taken.some((each) => Object.keys(faults(each, draftOf(each))).length > 0);
  return (
    <Form
      className="form proposals"
      onSubmit={(event) => {
        event.preventDefault();
        if (taken.length === 0 || faulty) return;
        send.ask({ figures: taken.map((each) => confirmation(each, draftOf(each))), note: note.trim() });
      }}
    >
      {!mayset && <p className="small">{words.readOnly}</p>}
      {mayset && (
        <div className="proposals-ways">
          <Button onPress={() => takeAll(true)}>{words.takeAll}</Button>
          {taken.length > 0 && (
            <Button look="quiet" onPress={() => takeAll(false)}>
              {words.takeNone}
            </Button>
          )}
        </div>
      )}
      {grouped(revision).map(({ title, own }) => (
        <fieldset key={title} className="proposal-group">
          <legend>{title}</legend>
          {own.map(({ proposal, name }) => (
            <ProposalRow
              key={keyOf(proposal)}
              proposal={proposal}
              name={name}
              draft={draftOf(proposal)}
              readOnly={!mayset}
              onChange={(draft) => set(proposal, draft)}
            />
          ))}
        </fieldset>
      ))}
      {mayset && (
        <div className="proposals-keep">
          <p role="status">{words.taken(taken.length, proposals.length)}</p>
          <Field label={words.note} help={words.noteHelp} value={note} onChange={setNote} isRequired />
          <ProblemNote problem={send.error} />
          <Button
            look="main"
            type="submit"
            isDisabled={send.isPending || taken.length === 0 || faulty || note.trim() === ''}
          >
            {send.isPending ? WORDS.sending : words.save(taken.length)}
          </Button>
          <p className="small">{words.saveHelp}</p>
        </div>
      )}
    </Form>
  );
}

function ProposalRow({
  proposal,
  name,
  draft,
  readOnly,
  onChange,
}: {
  proposal: OpenProposal;
  name: string;
  draft: Draft;
  readOnly: boolean;
  onChange: (draft: Draft) => void;
}) {
  const wrong = draft.taken ? faults(proposal, draft) : {};
  // Who changes a figure means it.
  const type = (key: string, text: string): void => onChange({ taken: true, texts: { ...draft.texts, [key]: text } });
  return (
    <div className={draft.taken ? 'proposal proposal-taken' : 'proposal'}>
      <p className="proposal-name">{name}</p>
      <div className="proposal-fields">
        {Object.entries(proposal.value).map(([key, value]) => {
          const label = words.keys[key] ?? key;
          const text = draft.texts[key] ?? '';
          const proposed = String(value) === text ? undefined : words.changed(String(value));
          if (key === 'when') {
            return (
              <SelectField
                key={key}
                label={label}
                help={proposed}
                value={text as (typeof CONTROL_TIMES)[number]}
                onChange={(to) => type(key, to)}
                options={CONTROL_TIMES.map((id) => ({ id, name: id }))}
              />
            );
          }
          return (
            <Field
              key={key}
              label={label}
              help={proposed}
              error={wrong[key]}
              value={text}
              onChange={(to) => type(key, to)}
              isReadOnly={readOnly}
              autoComplete="off"
              {...(typeof value === 'number' ? { inputMode: 'decimal' as const } : {})}
              {...(String(value).length > 40 ? { lines: 2 } : {})}
            />
          );
        })}
      </div>
      {!readOnly && (
        <Tick on={draft.taken} onChange={(taken) => onChange({ ...draft, taken })}>
          {words.take}
        </Tick>
      )}
    </div>
  );
}

function keyOf({ path }: OpenProposal): string {
  return path.join('/');
}

function textsOf(value: FigureValue): Record<string, string> {
  return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, String(each)]));
}

/** What is wrong with the texts of a proposal, by field. */
function faults({ value }: OpenProposal, { texts }: Draft): Record<string, string> {
  return Object.fromEntries(
    Object.entries(value).flatMap(([key, was]): [string, string][] => {
      const text = (texts[key] ?? '').trim();
      if (text === '') return [[key, words.empty]];
      return typeof was === 'number' && !Number.isFinite(Number(text)) ? [[key, words.notNumber]] : [];
    }),
  );
}

/** Only what differs from the proposal goes with it. */
function confirmation({ path, value }: OpenProposal, { texts }: Draft): Confirmation {
  const set = Object.entries(value).flatMap(([key, was]): [string, string | number][] => {
    const text = (texts[key] ?? '').trim();
    const is = typeof was === 'number' ? Number(text) : text;
    return is === was ? [] : [[key, is]];
  });
  return { path, ...(set.length > 0 && { value: Object.fromEntries(set) }) };
}

interface Group {
  title: string;
  own: { proposal: OpenProposal; name: string }[];
}

/** The proposals of one step under its action; its name then need not say so again. */
function grouped({ content, openProposals }: Revision): Group[] {
  const groups = new Map<string, Group>();
  for (const proposal of openProposals) {
    const [list, index] = proposal.path;
    const step = list === 'steps' ? content.steps[Number(index)] : undefined;
    const title = step ? `${Number(index) + 1}. ${step.action}` : words.general;
    const prefix = step ? `${step.action}: ` : '';
    const group = groups.get(title) ?? { title, own: [] };
    group.own.push({
      proposal,
      name: proposal.text.startsWith(prefix) ? proposal.text.slice(prefix.length) : proposal.text,
    });
    groups.set(title, group);
  }
  return [...groups.values()];
}
