import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useParam } from '../app/router.js';
import { api, got } from '../api.js';
import type { Lot } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { StandingTag } from '../stock/Tags.js';
import { WORDS } from '../words.js';
import { findLots, findScanned } from './find.js';
import { Counts, ReachedRuns, RunLine, Tree } from './Tree.js';
import { RECALLS, TRACE as words } from './words.js';

/** From a lot to all that it touched, or from a specimen back to all that touched it. */
export default function TraceScreen() {
  const [lot, setLot] = useParam('lot');
  const [subject, setSubject] = useParam('subject');
  const [several, setSeveral] = useState<readonly Lot[]>([]);
  const { name } = useCatalogue();
  const look = useChange(
    async (text: string) => {
      const found = await findScanned(text);
      return { subjectId: found.subject?.id ?? null, lots: found.subject ? [] : await findLots(text) };
    },
    ({ subjectId, lots }) => {
      setSeveral(lots.length > 1 ? lots : []);
      const [only] = lots;
      if (subjectId !== null) {
        setLot(null);
        setSubject(subjectId);
      } else if (only && lots.length === 1) {
        setSubject(null);
        setLot(only.id);
      }
    },
  );
  const nothing = look.data?.subjectId === null && look.data.lots.length === 0;
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <ScanField label={words.scan} action={words.look} busy={look.isPending} onText={look.ask} />
      <ProblemNote problem={look.error} />
      {nothing && <p role="status">{words.notFound(look.variables?.input ?? '')}</p>}
      {several.length > 0 && (
        <>
          <p>{words.several}</p>
          <ul className="tag-line">
            {several.map(({ id, number, reagent }) => (
              <li key={id}>
                <Link href={`/stock/trace?lot=${id}`}>
                  {name(reagent)}, {RECALLS.lot(number)}
                </Link>
              </li>
            ))}
          </ul>
        </>
      )}
      {lot === null && subject === null && (
        <Nothing title={words.empty} first={{ href: '/stock', word: WORDS.begin.lots }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {lot !== null && subject === null && <FromLot id={lot} />}
      {subject !== null && <FromSubject id={subject} />}
    </Page>
  );
}

function FromLot({ id }: { id: string }) {
  const { data, error, refetch } = useQuery({
    queryKey: ['stock', 'trace', 'lot', id],
    queryFn: () => got(api.GET('/api/trace/lot/{id}', { params: { path: { id } } })),
  });
  if (!data) return <Waiting error={error} onRetry={() => void refetch()} />;
  const own = data.lots.find((each) => each.id === id);
  return (
    <>
      <Part title={words.ofLot(own?.number ?? '')}>
        <Counts counts={data.counts} />
        <p>
          <a href={`/api/trace/lot/${id}/runs.csv`} download>
            {RECALLS.csv}
          </a>
        </p>
        <Tree roots={data.roots} lots={data.lots} />
      </Part>
      <Part title={RECALLS.runs}>
        <ReachedRuns of="lot" id={id} lots={data.lots} />
      </Part>
    </>
  );
}

function FromSubject({ id }: { id: string }) {
  const { name } = useCatalogue();
  const { data, error, refetch } = useQuery({
    queryKey: ['stock', 'trace', 'subject', id],
    queryFn: () => got(api.GET('/api/trace/subject/{id}', { params: { path: { id } } })),
  });
  if (!data) return <Waiting error={error} onRetry={() => void refetch()} />;
  return (
    <>
      <Part title={words.ofSubject(shortLabel(data.subjects[0]?.label ?? ''))}>
        <p>{data.subjects[0]?.description}</p>
        {data.subjects.length > 1 && (
          <p className="small">
            {words.subjects}: {data.subjects.map(({ label }) => shortLabel(label)).join(', ')}
          </p>
        )}
      </Part>
      <Part title={RECALLS.runs}>
        {data.runs.length === 0 && <p>{RECALLS.noRuns}</p>}
        <ul className="lines">
          {data.runs.map((run) => (
            <li key={run.id}>
              <RunLine run={run} lots={data.lots} />
            </li>
          ))}
        </ul>
      </Part>
      <Part title={words.origins} about={words.originsHelp}>
        {data.lots.length === 0 && <p>{words.noOrigins}</p>}
        <ul className="lines">
          {data.lots.map((lot) => (
            <li key={lot.id}>
              <p className="tag-line">
                <span className="line-title">{name(lot.reagent)}</span>
                <Link href={`/stock/${lot.id}`}>{RECALLS.lot(lot.number)}</Link>
                <StandingTag standing={lot.standing} />
                <span className="small">{lot.source}</span>
              </p>
              <p className="small">
                {lot.containers
                  .filter(({ runs }) => runs > 0)
                  .map(({ label, runs }) => `${shortLabel(label)} ${RECALLS.inRuns(runs)}`)
                  .join(', ')}
              </p>
            </li>
          ))}
        </ul>
      </Part>
    </>
  );
}
