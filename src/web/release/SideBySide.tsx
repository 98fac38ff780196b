import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { besideCase, compareExposure } from '../../core/stain-image/taken.js';
import type { RunView } from '../../core/run/view.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { KeptFile, RunPictures } from '../api.paths.js';
import { ReasonSheet } from '../bench/ReasonSheet.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { asWords, shortLabel } from '../parts/format.js';
import { Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { fileAddress } from '../parts/upload.js';
import { exposureText } from '../pictures/exposure.js';
import { PictureSheet } from '../pictures/PictureSheet.js';
import { useRunPictures } from '../pictures/queries.js';
import { PICTURES } from '../pictures/words.js';
import { RELEASE } from './words.js';

const words = RELEASE.beside;

type CasePicture = RunPictures['pictures'][number];
type ControlPicture = RunPictures['controls'][number];

/** The pictures of each specimen or slide, each beside that of a control at the same exposure, and plainly so where it is not. */
export function SideBySide({ run }: { run: RunView }) {
  const { may } = useSession();
  const { data, error, refetch } = useRunPictures(run.id);
  const [adding, setAdding] = useState<RunView['subjects'][number] | null>(null);
  const patients = run.subjects.filter(({ role }) => role === 'patient');
  if (patients.length === 0) return null;
  return (
    <Part title={words.title} about={words.about}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && (
        <ul className="lines">
          {patients.map((subject) => {
            const own = data.pictures.filter(({ subjectId }) => subjectId === subject.subjectId);
            return (
              <li key={subject.subjectId} className="beside">
                <h3 className="label">{shortLabel(subject.label)}</h3>
                {own.length === 0 && <p>{words.none}</p>}
                {own.map((picture) => (
                  <Pair
                    key={picture.id}
                    run={run}
                    label={shortLabel(subject.label)}
                    picture={picture}
                    controls={data.controls}
                  />
                ))}
                {may('technician', 'releaser') && (
                  <div>
                    <Button aria-label={words.addFor(shortLabel(subject.label))} onPress={() => setAdding(subject)}>
                      {words.add}
                    </Button>
                  </div>
                )}
              </li>
            );
          })}
        </ul>
      )}
      {adding && <PictureSheet runId={run.id} subjects={[adding]} onClose={() => setAdding(null)} />}
    </Part>
  );
}

function Pair({
  run,
  label,
  picture,
  controls,
}: {
  run: RunView;
  label: string;
  picture: CasePicture;
  controls: readonly ControlPicture[];
}) {
  const { format } = useSession();
  const [chosen, setChosen] = useState('');
  const control =
    controls.find(({ file }) => file.id === chosen) ?? besideCase(picture.exposure, controls) ?? undefined;
  const step = run.revision.content.steps.find(({ id }) => id === picture.step);
  return (
    <div className="pair">
      <figure>
        {control ? (
          <>
            <Shown file={control.file} alt={words.controlPicture(asWords(control.requirement))} />
            <figcaption>
              <strong>{words.control(asWords(control.requirement))}</strong>{' '}
              <Tag frame={control.passed === null ? 'double' : control.passed ? 'plain' : 'full'}>
                {control.passed === null ? words.unread : control.passed ? words.passed : words.failed}
              </Tag>
              <br />
              {control.runId === run.id ? words.ofThisRun : words.ofAnother}
              {control.readAt !== null && `, ${format.dayAndClock(control.readAt)}`}
              <br />
              <How exposure={control.exposure} />
            </figcaption>
          </>
        ) : (
          <figcaption className="held-note">{words.noControl}</figcaption>
        )}
      </figure>
      <figure>
        <Shown file={picture.file} alt={words.casePicture(label)} />
        <figcaption>
          <strong>{words.case(label)}</strong>
          <br />
          {step && <>{words.atStep(step.action)} </>}
          {words.kept(picture.person, format.dayAndClock(picture.at))}
          <br />
          <How exposure={picture.exposure} />
        </figcaption>
      </figure>
      <div className="pair-foot">
        {control && <Match one={picture.exposure} other={control.exposure} />}
        {controls.length > 1 && (
          <SelectField
            label={words.choose}
            value={control?.file.id ?? ''}
            onChange={setChosen}
            options={controls.map((each) => ({
              id: each.file.id,
              name: [
                asWords(each.requirement),
                each.runId === run.id ? words.ofThisRun : words.ofAnother,
                exposureText(each.exposure) ?? words.unknownExposure,
              ].join(', '),
            }))}
          />
        )}
        <TakeBack runId={run.id} picture={picture} label={label} />
      </div>
    </div>
  );
}

/** Whether the two may be compared, in words. */
function Match({ one, other }: { one: CasePicture['exposure']; other: CasePicture['exposure'] }) {
  const { verdict, differs, unknown } = compareExposure(one, other);
  const named = (parts: typeof differs): string => parts.map((part) => PICTURES.exposure.parts[part]).join(', ');
  if (verdict === 'same') {
    return (
      <p>
        <Tag>{words.same}</Tag>
      </p>
    );
  }
  return (
    <p className="held-note">
      <Tag frame={verdict === 'differs' ? 'full' : 'double'}>{words[verdict]}</Tag>{' '}
      {verdict === 'differs' ? words.differsIn(named(differs)) : words.unknownOf(named(unknown))}
    </p>
  );
}

function How({ exposure }: { exposure: CasePicture['exposure'] }) {
  return <span className="small">{exposureText(exposure) ?? words.unknownExposure}</span>;
}

/** Browsers show no TIFF, so that one can only be opened elsewhere. */
function Shown({ file, alt }: { file: KeptFile; alt: string }) {
  const shown = file.mediaType === 'image/png' || file.mediaType === 'image/jpeg';
  return (
    <a href={fileAddress(file.id)} target="_blank" rel="noreferrer">
      {shown ? <img src={fileAddress(file.id)} alt={alt} loading="lazy" /> : words.save(file.name)}
    </a>
  );
}

function TakeBack({ runId, picture, label }: { runId: string; picture: CasePicture; label: string }) {
  const { may } = useSession();
  const queries = useQueryClient();
  const [asking, setAsking] = useState(false);
  const back = useChange(
    (reason: string, key) =>
      got(
        api.POST('/api/runs/{id}/pictures/{picture}/back', {
          params: { path: { id: runId, picture: picture.id } },
          body: { reason },
          ...once(key),
        }),
      ),
    () => queries.invalidateQueries({ queryKey: ['runs', runId, 'pictures'] }),
  );
  if (!may('technician', 'releaser')) return null;
  return (
    <div>
      <Button look="quiet" onPress={() => setAsking(true)}>
        {words.back}
      </Button>
      <ProblemNote problem={back.error} />
      {asking && (
        <ReasonSheet
          title={words.backTitle(label)}
          text={words.backText}
          field={words.backReason}
          action={words.backAction}
          onReason={back.ask}
          onClose={() => setAsking(false)}
        />
      )}
    </div>
  );
}
