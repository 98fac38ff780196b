import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { FileTrigger, Form } from 'react-aria-components';
import { EVIDENCE_KINDS, type EvidenceKind, LOT_STANDINGS, type LotStanding } from '../../core/lot/lot.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Lot, LotEvidenceSaid } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { STOCK } from './words.js';

const words = STOCK.decide;
const BY_FILE: readonly EvidenceKind[] = ['certificate', 'verification'];
/** Acceptance runs are among the last ones. */
const LATEST = 50;

interface Decision {
  standing: LotStanding;
  reason: string;
  kind: EvidenceKind | null;
  file: File | null;
  runId: string;
  studyId: string;
}

/** Accepts, quarantines, rejects or recalls a lot, with the reason and what it rests on. */
export function DecideSheet({ lot, onClose }: { lot: Lot; onClose: () => void }) {
  const queries = useQueryClient();
  const [standing, setStanding] = useState<LotStanding | null>(lot.standing === 'quarantined' ? 'accepted' : null);
  const [reason, setReason] = useState('');
  const [kind, setKind] = useState<EvidenceKind | null>(null);
  const [file, setFile] = useState<File | null>(null);
  const [runId, setRunId] = useState('');
  const [studyId, setStudyId] = useState('');
  const send = useChange(
    async (decision: Decision, key) => {
      const evidence = await evidenceOf(decision, key);
      const body = { standing: decision.standing, reason: decision.reason, ...(evidence && { evidence }) };
      return got(api.POST('/api/lots/{id}/decisions', { params: { path: { id: lot.id } }, body, ...once(key) }));
    },
    async (decided) => {
      say(words.done(lot.number, STOCK.standings[decided.standing]));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  const accepting = standing === 'accepted';
  const ofRun = kind === 'acceptance control' || (kind === 'parallel test' && studyId === '');
  const lacking = accepting && kind !== null && ((BY_FILE.includes(kind) && !file) || (ofRun && runId === ''));
  return (
    <Sheet title={words.title(lot.number)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (standing === null || lacking) return;
          send.ask({ standing, reason: reason.trim(), kind: accepting ? kind : null, file, runId, studyId });
        }}
      >
        <Choice
          label={words.question}
          options={LOT_STANDINGS.filter((id) => id !== lot.standing).map((id) => ({ id, ...words.options[id] }))}
          value={standing}
          onChange={setStanding}
        />
        {accepting && (
          <SelectField
            label={words.evidence}
            value={kind ?? 'none'}
            onChange={(value) => setKind(value === 'none' ? null : value)}
            options={[
              { id: 'none' as const, name: words.evidenceNone },
              ...EVIDENCE_KINDS.map((id) => ({ id, name: words.evidenceKinds[id] })),
            ]}
          />
        )}
        {accepting && kind !== null && BY_FILE.includes(kind) && (
          <div className="field">
            <FileTrigger
              acceptedFileTypes={['application/pdf', 'image/png', 'image/jpeg', 'image/tiff']}
              onSelect={(list) => setFile(list?.item(0) ?? null)}
            >
              <Button>{words.chooseFile}</Button>
            </FileTrigger>
            <span className="field-help">{file ? words.fileChosen(file.name) : words.fileHelp}</span>
          </div>
        )}
        {accepting && kind === 'parallel test' && <StudyField lotId={lot.id} studyId={studyId} onChange={setStudyId} />}
        {accepting && ofRun && <RunField runId={runId} onChange={setRunId} />}
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} lines={3} isRequired />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || standing === null || reason.trim() === '' || lacking}
        >
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

function RunField({ runId, onChange }: { runId: string; onChange: (runId: string) => void }) {
  const { format } = useSession();
  const runs = useQuery({
    queryKey: ['runs', 'latest', LATEST],
    queryFn: () => got(api.GET('/api/runs', { params: { query: { take: LATEST } } })),
  });
  return (
    <SelectField
      label={words.run}
      value={runId}
      empty={words.runPick}
      onChange={onChange}
      options={(runs.data?.items ?? []).map(({ id, title, startedAt, station }) => ({
        id,
        name: `${title}, ${format.dayAndClock(startedAt)}, ${station}`,
      }))}
    />
  );
}

/** The comparisons that tested this lot; nothing where there is none. */
function StudyField({
  lotId,
  studyId,
  onChange,
}: {
  lotId: string;
  studyId: string;
  onChange: (studyId: string) => void;
}) {
  const { format } = useSession();
  const studies = useQuery({
    queryKey: ['stock', 'studies', lotId],
    queryFn: () => got(api.GET('/api/studies', { params: { query: { lotId, take: LATEST } } })),
  });
  const found = studies.data?.items ?? [];
  if (found.length === 0) return studies.data ? <p className="small">{words.noStudy}</p> : null;
  return (
    <SelectField
      label={words.study}
      value={studyId || 'none'}
      onChange={(id) => onChange(id === 'none' ? '' : id)}
      options={[
        { id: 'none', name: words.studyNone },
        ...found.map(({ id, measurand, oldLot, at, counted, decision }) => ({
          id,
          name: words.studyLine(measurand, oldLot.number, format.dayAndClock(at), counted, decision?.standing ?? null),
        })),
      ]}
    />
  );
}

/** Keeps the file first, under a key of the same intent, then names it. */
async function evidenceOf({ kind, file, runId, studyId }: Decision, key: string): Promise<LotEvidenceSaid | null> {
  if (kind === null) return null;
  if (kind === 'parallel test' && studyId !== '') return { kind, studyId };
  if (kind === 'parallel test' || kind === 'acceptance control') return { kind, runId };
  if (!file || !BY_FILE.includes(kind)) return { kind };
  const kept = await got(
    api.POST('/api/files', {
      params: { query: { name: file.name } },
      headers: { 'content-type': 'application/octet-stream', ...once(`${key}-file`).headers },
      // The file itself is the body; it is no JSON.
      body: file as never,
      bodySerializer: (body: unknown) => body as File,
    }),
  );
  return { kind, fileId: kept.id };
}
