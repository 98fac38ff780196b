import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { clockName } from '../../core/controls/planned.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import { RUN_PURPOSES, type RunPurpose } from '../../core/run/events.js';
import { navigate, useParam } from '../app/router.js';
import { api, got, once } from '../api.js';
import type { KeptFile, NewRun, ProtocolLine, Subject } from '../api.paths.js';
import { useRecord } from '../bench/acts.js';
import { BENCH_KEY, useBench } from '../bench/bench.js';
import { LoadAhead } from '../bench/LoadAhead.js';
import { IdentitySheet } from '../bench/Subjects.js';
import { planQuery } from '../controls/queries.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { asWords, shortLabel } from '../parts/format.js';
import { newId } from '../parts/ids.js';
import { kept } from '../parts/kept.js';
import { say, sayProblem } from '../parts/notices.js';
import { useKeys } from '../parts/pedal.js';
import { PictureField } from '../parts/PictureField.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { TimeField } from '../parts/TimeField.js';
import { PAPER } from '../paper/words.js';
import { useProtocols } from '../protocols/protocols.js';
import { WORDS } from '../words.js';
import '../bench/bench.css';
import { Elsewhere } from './Elsewhere.js';
import './new-run.css';
import { type OfferedControl, offeredControls } from './offered.js';
import { SubjectPicker, whyNoSubject } from './SubjectPicker.js';
import { NEW_RUN as words } from './words.js';

/** Everything a run needs before its first step: the protocol, the place, what is stained, and its controls. */
export default function NewRunScreen() {
  const queries = useQueryClient();
  const record = useRecord();
  const { runs } = useBench();
  const [purpose, setPurpose] = useState<RunPurpose>('patients');
  // The plan of the bench names what it wants started.
  const [planned] = useParam('revision');
  const [revisionId, setRevisionId] = useState<string | null>(planned);
  // A paper sheet that the run was done on.
  const [sheet] = useParam('sheet');
  const [sheetNumber] = useParam('number');
  const [begun, setBegun] = useState('');
  const [photograph, setPhotograph] = useState<KeptFile | null>(null);
  const [station, setStation] = useState(() => kept.read('station') || kept.read('last-station') || '');
  const [patients, setPatients] = useState<readonly Subject[]>([]);
  const [confirmed, setConfirmed] = useState<ReadonlySet<string>>(new Set());
  const [controls, setControls] = useState<Readonly<Record<string, Subject>>>({});
  const revision = useQuery({
    queryKey: ['protocols', 'revision', revisionId],
    queryFn: () => got(api.GET('/api/revisions/{id}', { params: { path: { id: revisionId ?? '' } } })),
    enabled: revisionId !== null,
  });
  const protocol = revision.data?.content;
  const plan = useQuery({ ...planQuery(protocol?.id ?? ''), enabled: protocol !== undefined });
  const offered = protocol && plan.data ? offeredControls(plan.data.counting, protocol) : undefined;
  const start = useChange(
    (body: NewRun, key) => got(api.POST('/api/runs', { body, ...once(key) })),
    async (run) => {
      kept.write('last-station', run.station);
      await queries.invalidateQueries({ queryKey: BENCH_KEY });
      for (const subject of confirmed) record(run.id, 'identity-confirmed', { subject });
      navigate(sheet === null ? `/?run=${encodeURIComponent(run.id)}` : `/paper/runs/${encodeURIComponent(run.id)}`);
    },
  );

  /** Scans may come faster than their answers, so that what is on the run is known only as each is added. */
  const add = (subject: Subject): void =>
    setPatients((on) => (on.some(({ id }) => id === subject.id) ? on : [...on, subject]));

  // A scan outside the fields can only mean what is stained; which control a control answers, a person says.
  useKeys((text) => {
    got(api.POST('/api/scan', { body: { text }, ...once(newId()) })).then((scanned) => {
      const { subject } = scanned;
      if (!subject) return say(whyNoSubject(scanned, text));
      const label = shortLabel(subject.label);
      if (subject.kind === 'control') return say(words.whichControl(label));
      if (purpose !== 'patients') return say(words.notForThis(label));
      if (patients.some(({ id }) => id === subject.id)) return say(words.already(label));
      add(subject);
      return say(words.added(label, subject.description));
    }, sayProblem);
  });

  const missing = [
    ...(revisionId === null ? [words.missingProtocol] : []),
    ...(station.trim() === '' ? [words.missingStation] : []),
    ...(purpose === 'patients' && patients.length === 0 ? [words.missingSpecimen] : []),
    ...(sheet !== null && Number.isNaN(Date.parse(begun)) ? [words.missingBegun] : []),
  ];
  const openControls = offered?.filter((each) => each.inTheRun && !controls[each.id]) ?? [];
  const taken = [...patients, ...Object.values(controls)].map(({ id }) => id);

  function send(): void {
    if (revisionId === null || missing.length > 0) return;
    const asPatients = purpose === 'patients' ? patients : [];
    start.ask({
      revisionId,
      station: station.trim(),
      purpose,
      subjects: [
        ...asPatients.map(({ id }) => ({ subjectId: id, role: 'patient' as const })),
        ...Object.entries(controls).map(([control, { id }]) => ({ subjectId: id, role: 'control' as const, control })),
      ],
      ...(sheet !== null && {
        fromSheet: {
          sheetId: sheet,
          startedAt: new Date(begun).toISOString(),
          ...(photograph && { fileId: photograph.id }),
        },
      }),
    });
  }

  return (
    <div className="new-run">
      <h1>{words.title}</h1>
      {sheet !== null && (
        <section className="part">
          <h2>{PAPER.start.title(sheetNumber ?? '')}</h2>
          <p>{PAPER.start.about}</p>
          <TimeField label={PAPER.start.startedAt} value={begun} onChange={setBegun} />
          <PictureField label={PAPER.start.picture} kept={photograph} onKept={setPhotograph} />
        </section>
      )}
      <Choice
        label={words.purpose}
        options={RUN_PURPOSES.map((id) => ({ id, ...words.purposes[id] }))}
        value={purpose}
        onChange={setPurpose}
      />
      <Protocols
        purpose={purpose}
        chosen={revisionId}
        onChoose={(id) => {
          setRevisionId(id);
          setControls({});
        }}
      />
      <Field
        label={words.station}
        help={words.stationHelp}
        value={station}
        onChange={setStation}
        suggestions={[...new Set(runs?.map(({ view }) => view.station))]}
        isRequired
      />
      <ProblemNote problem={revision.error ?? plan.error} />
      {(protocol || patients.length > 0) && purpose === 'patients' && (
        <Specimens
          protocol={protocol}
          patients={patients}
          taken={taken}
          confirmed={confirmed}
          onAdd={add}
          onRemove={(id) => setPatients(patients.filter((each) => each.id !== id))}
          onConfirm={(id) => setConfirmed(new Set([...confirmed, id]))}
        />
      )}
      {offered && (
        <Controls
          planned={offered}
          controls={controls}
          taken={taken}
          onChange={(id, subject) => setControls(without(controls, id, subject))}
        />
      )}
      <div className="start">
        {missing.length > 0 && (
          <p>
            {words.missing}: {missing.join(', ')}.
          </p>
        )}
        {missing.length === 0 && openControls.length > 0 && (
          <p className="held-note">
            {words.missing}:{' '}
            {openControls.map(({ id, kind, own }) => words.missingControl(own ? asWords(id) : kind)).join(', ')}.{' '}
            {words.controlsLater}
          </p>
        )}
        {protocol && runs && <LoadAhead steps={protocol.steps} runs={runs} />}
        <ProblemNote problem={start.error} />
        <Form
          onSubmit={(event) => {
            event.preventDefault();
            send();
          }}
        >
          <Button
            look="bench"
            type="submit"
            isDisabled={missing.length > 0 || offered === undefined || start.isPending}
          >
            {start.isPending ? WORDS.sending : words.start}
          </Button>
        </Form>
      </div>
    </div>
  );
}

function without(
  controls: Readonly<Record<string, Subject>>,
  id: string,
  subject: Subject | null,
): Readonly<Record<string, Subject>> {
  const others = Object.fromEntries(Object.entries(controls).filter(([each]) => each !== id));
  return subject ? { ...others, [id]: subject } : others;
}

function Protocols({
  purpose,
  chosen,
  onChoose,
}: {
  purpose: RunPurpose;
  chosen: string | null;
  onChoose: (revisionId: string) => void;
}) {
  const { data, error, failureCount, refetch } = useProtocols();
  const options = optionsOf(data ?? [], purpose);
  if (data && options.length === 0) return <p className="held-note">{words.noProtocol}</p>;
  return (
    <>
      <ProblemNote problem={error} onRetry={() => void refetch()} />
      {!data && !error && failureCount > 0 && <p className="held-note">{words.noAnswer}</p>}
      <Choice
        label={words.protocol}
        help={purpose === 'patients' ? words.protocolHelp : words.protocolHelpAny}
        options={options}
        value={chosen}
        onChange={onChoose}
      />
    </>
  );
}

function optionsOf(
  protocols: readonly ProtocolLine[],
  purpose: RunPurpose,
): { id: string; name: string; more: string }[] {
  return [...protocols]
    .sort((a, b) => a.setting.localeCompare(b.setting) || a.title.localeCompare(b.title))
    .flatMap(({ title, setting, revisions }) =>
      revisions
        .filter(({ inForce, state }) => inForce || (purpose !== 'patients' && state !== 'retired'))
        .map(({ id, number, inForce }) => ({
          id,
          name: title,
          more: `${setting} · ${words.revision(number)}${inForce ? '' : ` · ${words.notInForce}`}`,
        })),
    );
}

function Specimens({
  protocol,
  patients,
  taken,
  confirmed,
  onAdd,
  onRemove,
  onConfirm,
}: {
  /** Not chosen yet; what was scanned before it is shown all the same. */
  protocol: Protocol | undefined;
  patients: readonly Subject[];
  taken: readonly string[];
  confirmed: ReadonlySet<string>;
  onAdd: (subject: Subject) => void;
  onRemove: (id: string) => void;
  onConfirm: (id: string) => void;
}) {
  const [confirming, setConfirming] = useState<Subject | null>(null);
  return (
    <section className="part">
      <h2>{words.specimens}</h2>
      <p className="small">{words.specimensHelp}</p>
      <ul className="subjects">
        {patients.map((subject) => (
          <li key={subject.id}>
            <p>
              <strong className="label">{shortLabel(subject.label)}</strong> {subject.description}
            </p>
            <Elsewhere subjectId={subject.id} />
            <div className="line-ways">
              {confirmed.has(subject.id) ? (
                <p className="small mark-done">{words.confirmed}</p>
              ) : (
                <Button look="main" onPress={() => setConfirming(subject)}>
                  {words.confirm}
                </Button>
              )}
              <Button look="quiet" onPress={() => onRemove(subject.id)}>
                {words.remove}
              </Button>
            </div>
          </li>
        ))}
      </ul>
      {protocol ? (
        <SubjectPicker
          kind={protocol.material.form === 'fresh tissue' ? 'specimen' : 'slide'}
          irreplaceable={protocol.material.irreplaceable}
          description=""
          taken={taken}
          onPick={onAdd}
        />
      ) : (
        <p className="small">{words.protocolFirst}</p>
      )}
      {confirming && (
        <IdentitySheet
          subjectId={confirming.id}
          label={confirming.label}
          onConfirm={() => onConfirm(confirming.id)}
          onClose={() => setConfirming(null)}
        />
      )}
    </section>
  );
}

function Controls({
  planned,
  controls,
  taken,
  onChange,
}: {
  planned: readonly OfferedControl[];
  controls: Readonly<Record<string, Subject>>;
  taken: readonly string[];
  onChange: (id: string, subject: Subject | null) => void;
}) {
  return (
    <section className="part">
      <h2>{words.controls}</h2>
      <p className="small">{planned.length === 0 ? words.noControls : words.controlsHelp}</p>
      <ul className="subjects">
        {planned.map(({ id, kind, material, expected, required, clocks, inTheRun, own }) => {
          const chosen = controls[id];
          return (
            <li key={id}>
              <p>
                <strong>{kind}</strong> {own && `${asWords(id)}, ${words.ofOurOwn} `}·{' '}
                {clocks.map(clockName).join(', ')} · {inTheRun ? words.needed : required ? words.mayBe : words.advised}
              </p>
              <p className="small">{material}</p>
              <p className="small">
                {words.expected}: {expected}
              </p>
              {chosen && <Elsewhere subjectId={chosen.id} />}
              {chosen ? (
                <div className="line-ways">
                  <p>
                    <strong className="label">{shortLabel(chosen.label)}</strong> {chosen.description}
                  </p>
                  <Button look="quiet" onPress={() => onChange(id, null)}>
                    {words.remove}
                  </Button>
                </div>
              ) : (
                <SubjectPicker
                  kind="control"
                  irreplaceable={false}
                  description={material.slice(0, 300)}
                  taken={taken}
                  onPick={(subject) => onChange(id, subject)}
                />
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
