import { useEffect, useState } from 'react';

/** Wide enough for a small Data Matrix, and quick to look through. */
const WIDTH = 1280;

export type Camera = MediaStream | 'starting' | 'none' | 'refused';

/** A camera that can be asked for its light; the standard's types do not know it yet. */
type WithLight = MediaTrackCapabilities & { torch?: boolean };

/** The camera that looks away from the person, or why there is none; it is let go with the component. */
export function useCamera(): Camera {
  const [camera, setCamera] = useState<Camera>('starting');
  useEffect(() => {
    let stream: MediaStream | null = null;
    let over = false;
    const begin = async (): Promise<void> => {
      stream = await navigator.mediaDevices.getUserMedia({
        video: { facingMode: 'environment', width: { ideal: WIDTH } },
      });
      if (over) letGo(stream);
      else setCamera(stream);
    };
    begin().catch((error: unknown) => {
      if (!over) setCamera(error instanceof DOMException && error.name === 'NotAllowedError' ? 'refused' : 'none');
    });
    return () => {
      over = true;
      if (stream) letGo(stream);
    };
  }, []);
  return camera;
}

/** How to switch a camera's light; null where there is none. */
export function lightOf(stream: MediaStream): ((on: boolean) => void) | null {
  const [track] = stream.getVideoTracks();
  if ((track?.getCapabilities() as WithLight | undefined)?.torch !== true) return null;
  return (on) => void track?.applyConstraints({ advanced: [{ torch: on } as MediaTrackConstraintSet] });
}

function letGo(stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop();
}
