import { useState } from 'react';
import type { Picture } from '../api.paths.js';
import { Tick } from '../parts/Choice.js';
import { Thumbnail } from '../parts/PictureField.js';
import { fileAddress } from '../parts/upload.js';
import { metricWords, PICTURES } from './words.js';

const words = PICTURES.outline;

/** A measured picture, over which the outline of what its figures count can be laid, as the job that measured it drew it. */
export function Outlined({
  picture: { file },
  outline: { fileId, metric },
}: {
  picture: Picture;
  outline: NonNullable<Picture['outline']>;
}) {
  const [shown, setShown] = useState(false);
  const tiff = file.mediaType === 'image/tiff';
  return (
    <div>
      {shown ? (
        <>
          <div className="overlaid">
            {!tiff && <img src={fileAddress(file.id)} alt={file.name} />}
            <img
              className={tiff ? 'overlaid-alone' : 'overlaid-outline'}
              src={fileAddress(fileId)}
              alt={words.alt(metricWords(metric), file.name)}
            />
          </div>
          {tiff && <a href={fileAddress(file.id)}>{words.notShown(file.name)}</a>}
        </>
      ) : (
        <Thumbnail file={file} />
      )}
      <Tick on={shown} onChange={setShown}>
        {words.show[metric] ?? metricWords(metric)}
      </Tick>
      {shown && <p className="small">{words.help}</p>}
    </div>
  );
}
