import { useEffect, useEffectEvent, useRef } from 'react';
import { codeIn } from './read.js';
import { CAMERA as words } from './words.js';

/** Several times a second, so that a code is read as soon as it is held still. */
const LOOK_EVERY_MS = 150;

/** Shows what a camera sees and looks for a code in it until one is read. */
export function Viewfinder({
  stream,
  onCode,
  onNoReader,
}: {
  stream: MediaStream;
  onCode: (text: string) => void;
  onNoReader: () => void;
}) {
  const video = useRef<HTMLVideoElement>(null);
  const found = useEffectEvent(onCode);
  const failed = useEffectEvent(onNoReader);
  useEffect(() => {
    const shown = video.current;
    const canvas = document.createElement('canvas');
    const paper = canvas.getContext('2d', { willReadFrequently: true });
    if (!shown || !paper) return undefined;
    shown.srcObject = stream;
    let timer: ReturnType<typeof setTimeout>;
    let over = false;
    const look = async (): Promise<void> => {
      let text: string | null = null;
      if (shown.videoWidth > 0) {
        [canvas.width, canvas.height] = [shown.videoWidth, shown.videoHeight];
        paper.drawImage(shown, 0, 0);
        text = await codeIn(paper.getImageData(0, 0, canvas.width, canvas.height));
      }
      if (over) return;
      if (text === null) timer = setTimeout(again, LOOK_EVERY_MS);
      else found(text);
    };
    const again = (): void => {
      look().catch(() => {
        if (!over) failed();
      });
    };
    again();
    return () => {
      over = true;
      clearTimeout(timer);
    };
  }, [stream]);
  return <video ref={video} className="camera-view" aria-label={words.view} autoPlay muted playsInline />;
}
