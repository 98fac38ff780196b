import { useState } from 'react';
import { Link } from 'react-aria-components';
import { STAIN_CATEGORIES, type StainCategory } from '../../core/protocol/protocol.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import type { ProtocolLine } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { useProtocols } from './protocols.js';
import './protocols.css';
import { RevisionTags } from './Standing.js';
import { UploadSheet } from './UploadSheet.js';
import { EDITOR } from './editor/words.js';
import { PROTOCOLS as words } from './words.js';

/** Every protocol by category, with where its revisions stand. */
export default function ProtocolsScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useProtocols();
  const [wanted, setWanted] = useText('find');
  const [uploading, setUploading] = useState(false);
  const text = wanted.trim().toLowerCase();
  const found = data?.filter(({ title, id }) => `${title} ${id}`.toLowerCase().includes(text)) ?? [];
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {may('manager', 'director') && (
            <>
              <Link href="/protocols/new" className="button button-plain">
                {EDITOR.begin}
              </Link>
              <Button onPress={() => setUploading(true)}>{words.upload.open}</Button>
            </>
          )}
          {!may('reviewer') && <Export files={[csvOf('protocols/list.csv')]} />}
        </>
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && data.length > 0 && (
        <>
          <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={data.length} />
          {found.length === 0 && <p>{words.none(wanted.trim())}</p>}
          {STAIN_CATEGORIES.map((category) => (
            <Category
              key={category}
              category={category}
              protocols={found.filter((protocol) => protocol.category === category)}
            />
          ))}
        </>
      )}
      {uploading && <UploadSheet onClose={() => setUploading(false)} />}
    </Page>
  );
}

function Category({ category, protocols }: { category: StainCategory; protocols: readonly ProtocolLine[] }) {
  if (protocols.length === 0) return null;
  return (
    <Part title={words.categories[category]}>
      <ul className="lines">
        {protocols.map((protocol) => (
          <li key={protocol.id} className="protocol-line">
            <ProtocolRow protocol={protocol} />
          </li>
        ))}
      </ul>
    </Part>
  );
}

/** How many revisions a line shows: the one in force, and those that are newer than it. */
const SHOWN = 3;

function ProtocolRow({ protocol: { title, setting, revisions } }: { protocol: ProtocolLine }) {
  const current = revisions.findIndex(({ inForce }) => inForce);
  const shown = revisions.slice(0, current === -1 ? 1 : Math.min(current + 1, SHOWN));
  const first = revisions[current] ?? revisions[0];
  const older = revisions.length - shown.length;
  return (
    <>
      <p>
        {first ? (
          <Link href={`/protocols/${first.id}`} className="line-title">
            {title}
          </Link>
        ) : (
          title
        )}{' '}
        <span className="small">{words.settings[setting]}</span>
      </p>
      <ul className="revisions">
        {shown.map((revision) => (
          <li key={revision.id}>
            <Link href={`/protocols/${revision.id}`}>{words.revision(revision.number)}</Link>{' '}
            <RevisionTags revision={revision} />
          </li>
        ))}
        {older > 0 && <li className="small">{words.older(older)}</li>}
      </ul>
    </>
  );
}
