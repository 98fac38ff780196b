import { useState } from 'react';
import { Tick } from '../parts/Choice.js';
import { FileWay } from '../parts/FileWay.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import './camera.css';
import { codeIn } from './read.js';
import { lightOf, useCamera } from './useCamera.js';
import { Viewfinder } from './Viewfinder.js';
import { CAMERA as words } from './words.js';

/** Reads one code with the camera of the device, or from a photograph, and closes. */
export default function CameraSheet({ onText, onClose }: { onText: (text: string) => void; onClose: () => void }) {
  const camera = useCamera();
  const [problem, setProblem] = useState<'noCode' | 'noReader' | null>(null);
  const stream = camera instanceof MediaStream ? camera : null;
  const take = (text: string): void => {
    onClose();
    onText(text);
  };
  const read = async (file: File): Promise<void> => {
    setProblem(null);
    try {
      const text = await codeIn(file);
      if (text === null) setProblem('noCode');
      else take(text);
    } catch {
      setProblem('noReader');
    }
  };
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      {stream && <Viewfinder stream={stream} onCode={take} onNoReader={() => setProblem('noReader')} />}
      <p role="status">{problem ? words[problem] : words.state[camera instanceof MediaStream ? 'looking' : camera]}</p>
      {stream && <Light stream={stream} />}
      <FileWay word={words.file} accept="image/*" capture="environment" onFile={(file) => void read(file)} />
    </Sheet>
  );
}

function Light({ stream }: { stream: MediaStream }) {
  const [on, setOn] = useState(false);
  const turn = lightOf(stream);
  if (!turn) return null;
  return (
    <Tick
      on={on}
      onChange={(to) => {
        setOn(to);
        turn(to);
      }}
    >
      {words.light}
    </Tick>
  );
}
