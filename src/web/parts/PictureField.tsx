import { useId, useState } from 'react';
import type { ReactNode } from 'react';
import type { KeptFile } from '../api.paths.js';
import { FileWay } from './FileWay.js';
import { sizeText } from './numbers.js';
import { ProblemNote } from './ProblemNote.js';
import './picture-field.css';
import { fileAddress, sendFile } from './upload.js';

const PICTURES = 'image/png,image/jpeg,image/tiff';

const WORDS = {
  choose: 'Choose a file',
  camera: 'Take a picture',
  sending: (share: number) => `Sending, ${Math.round(share * 100)} %`,
  kept: (name: string, bytes: number) => `${name}, ${sizeText(bytes)}`,
  picture: 'PNG, JPEG or TIFF. No patient’s name in the file’s name or in the picture.',
  document: 'PDF, PNG, JPEG or TIFF. No patient’s name in the file’s name or in it.',
};

/** A file that is kept as soon as it is chosen: a picture, from the disk or the camera, or a document as well. */
export function PictureField({
  label,
  help,
  kept,
  onKept,
  documents = false,
}: {
  label: string;
  help?: ReactNode;
  kept: KeptFile | null;
  onKept: (file: KeptFile | null) => void;
  /** Takes PDF too, and offers no camera. */
  documents?: boolean;
}) {
  const id = useId();
  const [share, setShare] = useState<number | null>(null);
  const [problem, setProblem] = useState<Error | null>(null);
  const take = async (file: File): Promise<void> => {
    setProblem(null);
    setShare(0);
    onKept(null);
    try {
      onKept(await sendFile(file, setShare));
    } catch (error) {
      setProblem(error as Error);
    } finally {
      setShare(null);
    }
  };
  const way = { onFile: (file: File) => void take(file), disabled: share !== null, 'aria-describedby': `${id}-help` };
  return (
    <fieldset className="picture-field">
      <legend>{label}</legend>
      <div className="file-ways">
        <FileWay {...way} word={WORDS.choose} accept={documents ? `${PICTURES},application/pdf` : PICTURES} />
        {!documents && <FileWay {...way} word={WORDS.camera} accept="image/*" capture="environment" />}
      </div>
      <span id={`${id}-help`} className="field-help">
        {help ?? (documents ? WORDS.document : WORDS.picture)}
      </span>
      <p role="status">
        {share !== null && (
          <>
            <progress value={share} aria-hidden="true" /> {WORDS.sending(share)}
          </>
        )}
        {kept && WORDS.kept(kept.name, kept.bytes)}
      </p>
      {kept && <Thumbnail file={kept} />}
      <ProblemNote problem={problem} />
    </fieldset>
  );
}

/** A kept picture, small; browsers show no TIFF, so there is a way to save it instead. */
export function Thumbnail({ file }: { file: KeptFile }) {
  const shown = file.mediaType === 'image/png' || file.mediaType === 'image/jpeg';
  return (
    <a href={fileAddress(file.id)} target="_blank" rel="noreferrer" className="thumbnail">
      {shown ? <img src={fileAddress(file.id)} alt={file.name} loading="lazy" /> : file.name}
    </a>
  );
}
