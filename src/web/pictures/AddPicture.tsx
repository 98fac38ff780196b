import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, got, once } from '../api.js';
import type { KeptFile, NewRunPicture } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { PictureField } from '../parts/PictureField.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { WORDS } from '../words.js';
import { exposureOf, keepExposure, lastExposure, wrongParts } from './exposure.js';
import { ExposureFields } from './ExposureFields.js';
import './pictures.css';
import { PICTURES } from './words.js';

const words = PICTURES.ofRun;

/** Keeps a picture of what a run stained, with how it was taken. */
export function AddPicture({
  runId,
  subjectId,
  step,
  onKept,
}: {
  runId: string;
  subjectId: string;
  /** The step at which it is taken. */
  step?: string;
  onKept: (fileId: string) => void;
}) {
  const queries = useQueryClient();
  const [file, setFile] = useState<KeptFile | null>(null);
  const [exposure, setExposure] = useState(lastExposure);
  const keep = useChange(
    (body: NewRunPicture, key) =>
      got(api.POST('/api/runs/{id}/pictures', { params: { path: { id: runId } }, body, ...once(key) })),
    async (_pictures, { fileId }) => {
      keepExposure(exposure);
      setFile(null);
      onKept(fileId);
      await queries.invalidateQueries({ queryKey: ['runs', runId, 'pictures'] });
    },
  );
  return (
    <div className="form add-picture">
      <PictureField label={words.picture} kept={file} onKept={setFile} />
      <ExposureFields value={exposure} onChange={setExposure} />
      <ProblemNote problem={keep.error} />
      <div>
        <Button
          isDisabled={!file || wrongParts(exposure).length > 0 || keep.isPending}
          onPress={() =>
            file &&
            keep.ask({
              subjectId,
              fileId: file.id,
              exposure: exposureOf(exposure),
              ...(step !== undefined && { step }),
            })
          }
        >
          {keep.isPending ? WORDS.sending : words.keep}
        </Button>
      </div>
    </div>
  );
}
