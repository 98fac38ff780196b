import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { FileTrigger, Form } from 'react-aria-components';
import { navigate } from '../app/router.js';
import { api, got, once, Problem } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say, sayProblem } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { PROTOCOLS } from './words.js';

const words = PROTOCOLS.upload;

/** Takes a protocol file and keeps it as a draft, or shows every place at which it is wrong. */
export function UploadSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const [text, setText] = useState('');
  const [fileName, setFileName] = useState('');
  const [chosen, setChosen] = useState<string | null>(null);
  /** What the problems that are shown were found in. */
  const [read, setRead] = useState('');
  const send = useChange(
    (body: { text: string; fileName: string }, key) =>
      got(api.POST('/api/protocols/drafts/from-text', { body, ...once(key) })),
    async ({ id, title, number }) => {
      say(words.done(title, number));
      onClose();
      await queries.invalidateQueries({ queryKey: ['protocols'] });
      navigate(`/protocols/${id}`);
    },
  );
  const places = send.error instanceof Problem ? send.error.problems.flatMap(placeOf) : [];

  function take(file: File | undefined): void {
    if (!file) return;
    file.text().then((content) => {
      setText(content);
      setFileName(file.name.replace(/\.yml$/, '.yaml'));
      setChosen(file.name);
      send.reset();
    }, sayProblem);
  }

  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          setRead(text);
          send.ask({ text, fileName: fileName.trim() });
        }}
      >
        <p>{words.help}</p>
        <div>
          <FileTrigger acceptedFileTypes={['.yaml', '.yml']} onSelect={(files) => take(files?.[0])}>
            <Button>{words.choose}</Button>
          </FileTrigger>
          {chosen !== null && <p className="small">{words.chosen(chosen)}</p>}
        </div>
        <Field
          label={words.paste}
          value={text}
          onChange={(to) => {
            setText(to);
            if (chosen === null) setFileName(nameIn(to) ?? fileName);
          }}
          lines={8}
          spellCheck="false"
        />
        <Field
          label={words.fileName}
          help={words.fileNameHelp}
          value={fileName}
          onChange={setFileName}
          autoComplete="off"
          spellCheck="false"
          isRequired
        />
        {places.length > 0 ? (
          <div className="problem" role="alert">
            <p className="problem-title">{words.problems(places.length)}</p>
            <ol className="file-problems">
              {places.map(({ line, column, message }) => (
                <li key={`${line} ${column} ${message}`}>
                  <p>
                    <strong>{words.place(line, column)}</strong> {message}
                  </p>
                  <code>{read.split('\n')[line - 1]?.trim()}</code>
                </li>
              ))}
            </ol>
          </div>
        ) : (
          <ProblemNote problem={send.error} />
        )}
        <Button look="main" type="submit" isDisabled={send.isPending || text.trim() === '' || fileName.trim() === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** The name that a file of this content has to have, once its id can be read. */
function nameIn(text: string): string | null {
  const id = /^id:\s*([a-z0-9-]+)\s*$/m.exec(text)?.[1];
  return id === undefined ? null : `${id}.yaml`;
}

/** 'ao-fresh.yaml:14:5' tells line and column. */
function placeOf({ at, message }: { at: string; message: string }) {
  const found = /:(\d+):(\d+)$/.exec(at);
  return found ? [{ line: Number(found[1]), column: Number(found[2]), message }] : [];
}
