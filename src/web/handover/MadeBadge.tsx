import { useEffect, useState } from 'react';
import './handover.css';
import { HANDOVER } from './words.js';

const words = HANDOVER.made;

/** A badge that was just made: its code and the card to print, both this once, since the server keeps a hash alone. */
export function MadeBadge({ label, pdf }: { label: string; pdf: string }) {
  const [picture, setPicture] = useState<string | null>(null);
  useEffect(() => {
    void import('bwip-js/browser').then(({ default: bwip }) =>
      setPicture(bwip.toSVG({ bcid: 'qrcode', text: label, scale: 4 })),
    );
  }, [label]);
  return (
    <div className="badge">
      <p>{words.once}</p>
      {/* Its place is kept, so that nothing moves under a finger when it comes. */}
      <div className="badge-code">
        {picture !== null && <img src={`data:image/svg+xml,${encodeURIComponent(picture)}`} alt={words.alt(label)} />}
      </div>
      <p>
        <code>{label}</code>
      </p>
      {/* Out of this page's memory: no address of the server gives it a second time. */}
      <a className="button button-main" href={`data:application/pdf;base64,${pdf}`} download={words.file}>
        {words.save}
      </a>
      <p className="small">{words.saveHelp}</p>
    </div>
  );
}
