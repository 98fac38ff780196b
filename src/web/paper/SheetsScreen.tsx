import { useInfiniteQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form, Link } from 'react-aria-components';
import { MOST_SHEETS } from '../../core/run/paper-sheet.js';
import { api, got, once } from '../api.js';
import type { PaperSheet } from '../api.paths.js';
import { useSession } from '../app/session.js';
import { ReasonSheet } from '../bench/ReasonSheet.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { PdfLink } from '../parts/PdfLink.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { fileAddress } from '../parts/upload.js';
import { stainsInForce, useProtocols } from '../protocols/protocols.js';
import { PAPER as words } from './words.js';

const KEY = ['paper-sheets'] as const;
const FRAMES = { open: 'double', entered: 'plain', void: 'soft' } as const;

/** Sheets for work without the program: new ones, and what became of every one. */
export default function SheetsScreen() {
  const { may } = useSession();
  const sheets = useInfiniteQuery({
    queryKey: KEY,
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/paper-sheets', {
          params: { query: { take: 50, ...(pageParam !== null && { after: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const all = sheets.data?.pages.flatMap(({ items }) => items) ?? [];
  return (
    <Page title={words.title} above={{ href: '/', word: words.toBench }} about={<p>{words.about}</p>}>
      {may('technician', 'releaser', 'manager', 'director') && <Print />}
      {!sheets.data && <Waiting error={sheets.error} onRetry={() => void sheets.refetch()} />}
      {sheets.data && all.length === 0 && (
        <Nothing title={words.none}>
          <p>{words.noneHelp}</p>
        </Nothing>
      )}
      {all.length > 0 && (
        <Part title={words.register} about={<p>{words.openCount(sheets.data?.pages[0]?.open ?? 0)}</p>}>
          <ul className="lines">
            {all.map((sheet) => (
              <li key={sheet.id}>
                <SheetLine sheet={sheet} />
              </li>
            ))}
          </ul>
          {sheets.hasNextPage && (
            <Button onPress={() => void sheets.fetchNextPage()} isDisabled={sheets.isFetchingNextPage}>
              {words.more}
            </Button>
          )}
        </Part>
      )}
    </Page>
  );
}

function Print() {
  const queries = useQueryClient();
  const [revisionId, setRevisionId] = useState('');
  const [count, setCount] = useState('1');
  const [made, setMade] = useState<{ from: number; to: number } | null>(null);
  const protocols = useProtocols();
  const print = useChange(
    (body: { revisionId: string; count: number }, key) => got(api.POST('/api/paper-sheets', { body, ...once(key) })),
    async (sheets) => {
      const [from, to] = [sheets[0]?.number ?? 0, sheets.at(-1)?.number ?? 0];
      setMade({ from, to });
      say(words.made(from, to));
      await queries.invalidateQueries({ queryKey: KEY });
    },
  );
  const many = Number(count);
  const right = Number.isInteger(many) && many >= 1 && many <= MOST_SHEETS;
  return (
    <Part title={words.print}>
      <Form
        className="finder"
        onSubmit={(event) => {
          event.preventDefault();
          if (revisionId !== '' && right) print.ask({ revisionId, count: many });
        }}
      >
        <SelectField
          label={words.protocol}
          empty={words.protocolEmpty}
          value={revisionId}
          onChange={setRevisionId}
          options={stainsInForce(protocols.data ?? [])}
        />
        <Field
          label={words.count}
          help={words.countHelp}
          value={count}
          onChange={setCount}
          inputMode="numeric"
          isInvalid={!right}
        />
        <Button type="submit" look="main" isDisabled={revisionId === '' || !right || print.isPending}>
          {words.make}
        </Button>
      </Form>
      <ProblemNote problem={protocols.error ?? print.error} />
      {made && <PdfLink href={pdfAt(made.from, made.to)}>{words.pdf(made.from, made.to)}</PdfLink>}
    </Part>
  );
}

function pdfAt(from: number, to: number): string {
  return `/api/paper-sheets/sheets.pdf?from=${from}&to=${to}`;
}

function SheetLine({ sheet }: { sheet: PaperSheet }) {
  const { format, may } = useSession();
  const queries = useQueryClient();
  const [asking, setAsking] = useState(false);
  const { id, number, title, revision, revisionId, printedAt, printedBy, state, runId, fileId, reason } = sheet;
  const end = useChange(
    (why: string, key) =>
      got(api.POST('/api/paper-sheets/{id}/void', { params: { path: { id } }, body: { reason: why }, ...once(key) })),
    () => queries.invalidateQueries({ queryKey: KEY }),
  );
  const enter = `/runs/new?revision=${encodeURIComponent(revisionId)}&sheet=${encodeURIComponent(id)}&number=${number}`;
  return (
    <>
      <p>
        <strong>{words.sheet(number)}</strong> <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>{' '}
        {words.of(title, revision)}
      </p>
      <p className="small">
        {words.printed(printedBy, format.dayAndClock(printedAt))}
        {sheet.endedAt !== null &&
          ` · ${words.states[state]}: ${words.ended(sheet.endedBy ?? '', format.dayAndClock(sheet.endedAt))}`}
        {reason !== null && ` · ${reason}`}
      </p>
      <p className="tag-line">
        {state === 'open' && may('technician', 'releaser') && (
          <Link href={enter} className="button button-plain" aria-label={`${words.enter}: ${words.sheet(number)}`}>
            {words.enter}
          </Link>
        )}
        {runId !== null && <Link href={`/release/${runId}`}>{words.toRun}</Link>}
        {fileId !== null && (
          <a href={fileAddress(fileId)} target="_blank" rel="noreferrer">
            {words.photograph}
          </a>
        )}
        <PdfLink href={pdfAt(number, number)} about={words.pdf(number, number)}>
          {words.reprint}
        </PdfLink>
        {state === 'open' && may('technician', 'releaser', 'manager', 'director') && (
          <Button look="quiet" aria-label={`${words.void}: ${words.sheet(number)}`} onPress={() => setAsking(true)}>
            {words.void}
          </Button>
        )}
      </p>
      <ProblemNote problem={end.error} />
      {asking && (
        <ReasonSheet
          title={words.voidTitle(number)}
          text={words.voidText}
          field={words.voidReason}
          action={words.voidAction}
          onReason={end.ask}
          onClose={() => setAsking(false)}
        />
      )}
    </>
  );
}
