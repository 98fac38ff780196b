import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import { useChange } from '../parts/change.js';
import { Tag } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { STOCK as words } from './words.js';

/** Tells what a label or a product's code names, and whether it may be used now. */
export function Look() {
  const { format, may } = useSession();
  const look = useChange((text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })));
  const found = look.data;
  const text = look.variables?.input ?? '';
  const unknownProduct = found && !found.lot && found.gs1;
  return (
    <div className="look">
      <ScanField label={words.scan} action={words.look} busy={look.isPending} onText={look.ask} />
      <ProblemNote problem={look.error} />
      {found && (
        <div className="look-found" role="status">
          <p>
            {(found.container ?? found.lot) && (
              <Tag frame={(found.reasons?.length ?? 0) > 0 ? 'full' : 'plain'}>
                {(found.reasons?.length ?? 0) > 0 ? words.page.unusable : words.page.usable}
              </Tag>
            )}{' '}
            {format.within(found.message)}
          </p>
          {found.warnings
            .filter(({ message }) => message !== found.message)
            .map(({ code, message }) => (
              <p key={code} className="held-note">
                {message}
              </p>
            ))}
          {found.candidates && (
            <>
              <p>{words.candidates}</p>
              <ul className="tag-line">
                {found.candidates.map(({ id, number, source }) => (
                  <li key={id}>
                    <Link href={`/stock/${id}`}>{words.lot(number)}</Link> <span className="small">{source}</span>
                  </li>
                ))}
              </ul>
            </>
          )}
          <p className="tag-line">
            {found.lot && <Link href={`/stock/${found.lot.id}`}>{words.toLot}</Link>}
            {unknownProduct && may('technician', 'manager', 'director') && (
              <Link href={`/stock/receive?code=${encodeURIComponent(text)}`}>{words.receiveThis}</Link>
            )}
          </p>
        </div>
      )}
    </div>
  );
}
