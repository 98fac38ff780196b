import { keepPreviousData, useQuery } from '@tanstack/react-query';
import { use, useDeferredValue, useEffect, useRef, useState } from 'react';
import {
  Autocomplete,
  Header,
  Input,
  Label,
  Menu,
  MenuItem,
  MenuSection,
  SearchField,
  Text,
} from 'react-aria-components';
import { api, got } from '../api.js';
import { navigate } from '../app/router.js';
import { isFor, type Screen } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { type Term, TERMS } from '../help/terms.js';
import { Tick } from '../parts/Choice.js';
import { shortLabel } from '../parts/format.js';
import { Opens } from '../parts/opens.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { useEnter } from './enter.js';
import './find.css';
import { useSlashChoice } from './slash.js';
import { FIND } from './words.js';

const LEAST = 2;
const FEW_PAGES = 6;
const FEW_TERMS = 3;

/** Finds things and pages by part of their names, by keyboard, finger or scanner. */
export default function FindSheet({
  screens,
  typedAhead,
  onClose,
}: {
  screens: readonly Screen[];
  /** Ends the taking of keys, and tells those that came before the field was there. */
  typedAhead: () => string;
  onClose: () => void;
}) {
  const { may, format } = useSession();
  const [slash, setSlash] = useSlashChoice();
  const opens = use(Opens);
  const field = useRef<HTMLInputElement>(null);
  // Whoever asks for it wants to write, and may have begun.
  const [text, setText] = useState(typedAhead);
  useEffect(() => field.current?.focus(), []);
  const asked = useDeferredValue(text.trim());
  const asks = asked.length >= LEAST && !may('reviewer');
  const { data, isFetching } = useQuery({
    queryKey: ['find', asked],
    queryFn: () => got(api.POST('/api/find', { body: { text: asked } })),
    // A reviewer asks the record on a page of its own, where each look is kept.
    enabled: asks,
    // The list stays while more letters come, so that nothing jumps under a finger; the name is the library's own.
    placeholderData: keepPreviousData,
  });
  const things = asked.length >= LEAST ? (data?.items ?? []).filter(({ path }) => opens(path)) : [];
  const pages = pagesCalled(
    asked,
    screens.filter((screen) => isFor(screen, may)),
  );
  const go = (path: string): void => {
    onClose();
    navigate(path);
  };
  const answered = text.trim() === asked && !(asks && isFetching);
  const meanings = termsCalled(asked);
  const first = things[0] ?? pages[0] ?? meanings[0];
  const onKeyDownCapture = useEnter(text, answered, () => asked !== '' && first && go(first.path));
  const empty = asked.length < LEAST ? FIND.begin : answered ? FIND.nothing(asked) : WORDS.loading;
  return (
    <Sheet title={FIND.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Autocomplete inputValue={text} onInputChange={setText}>
        <div onKeyDownCapture={onKeyDownCapture}>
          <SearchField className="field find-field">
            <Label>{FIND.field}</Label>
            <Input ref={field} />
            <Text slot="description" className="field-help">
              {FIND.help}
            </Text>
          </SearchField>
        </div>
        <Menu
          className="find-list"
          aria-label={FIND.results}
          onAction={(key) => go(String(key).slice(String(key).indexOf('/')))}
          renderEmptyState={() => <p>{empty}</p>}
        >
          {things.length > 0 && (
            <MenuSection>
              <Header>{FIND.results}</Header>
              {things.map(({ kind, id, title, about, path }) => (
                <MenuItem key={id} id={`${id} ${path}`} textValue={title} className="find-item">
                  <span className="find-kind">{FIND.kinds[kind]}</span> <strong>{shortLabel(title)}</strong>{' '}
                  <span className="small">{format.within(about)}</span>
                </MenuItem>
              ))}
            </MenuSection>
          )}
          {pages.length > 0 && (
            <MenuSection>
              <Header>{FIND.pages}</Header>
              {pages.map(({ path, title, inSection }) => (
                <MenuItem key={path} id={`page ${path}`} textValue={inSection ?? title} className="find-item">
                  <strong>{inSection ?? title}</strong>{' '}
                  {inSection !== undefined && inSection !== title && <span className="small">{title}</span>}
                </MenuItem>
              ))}
            </MenuSection>
          )}
          {meanings.length > 0 && (
            <MenuSection>
              <Header>{FIND.meanings}</Header>
              {meanings.map(({ word, means, path }) => (
                <MenuItem key={word} id={`word ${path}`} textValue={word} className="find-item">
                  <strong>{word}</strong> <span className="small">{means}</span>
                </MenuItem>
              ))}
            </MenuSection>
          )}
        </Menu>
      </Autocomplete>
      <Tick on={slash} onChange={setSlash}>
        {FIND.slash}
      </Tick>
    </Sheet>
  );
}

/** Pages that a person can go to by name; those of the navigation while nothing is written. */
function pagesCalled(text: string, screens: readonly Screen[]): readonly Screen[] {
  const plain = screens.filter(({ path }) => !path.includes(':'));
  if (text === '') return plain.filter(({ inNavigation }) => inNavigation);
  const wanted = text.toLowerCase();
  return plain
    .filter(({ title, inSection }) => `${inSection ?? ''} ${title}`.toLowerCase().includes(wanted))
    .slice(0, FEW_PAGES);
}

/** What the program's words mean, and where the help says it. */
function termsCalled(text: string): readonly (Term & { path: string })[] {
  if (text.length < LEAST) return [];
  const wanted = text.toLowerCase();
  return TERMS.flatMap(({ terms }) => terms)
    .filter(({ word }) => word.includes(wanted))
    .slice(0, FEW_TERMS)
    .map((term) => ({ ...term, path: `/help?find=${encodeURIComponent(term.word)}` }));
}
