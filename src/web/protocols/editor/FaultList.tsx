import { Button } from '../../parts/Button.js';
import { placeOf } from '../Differences.js';
import type { Fault } from './faults.js';
import { EDITOR as words } from './words.js';

/** What is to be mended, each with the way to it; said politely while somebody writes. */
export function FaultList({
  faults,
  checked,
  failed,
}: {
  faults: readonly Fault[];
  checked: boolean;
  failed: Error | null;
}) {
  return (
    <section className="draft-faults" aria-label={words.checks}>
      <p role="status">
        {failed
          ? words.unchecked
          : !checked
            ? words.checking
            : faults.length === 0
              ? words.sound
              : words.faults(faults.length)}
      </p>
      {faults.length > 0 && (
        <ul>
          {faults.map(({ path, message }) => (
            <li key={`${path.join('/')} ${message}`}>
              <Button look="quiet" onPress={() => goTo(path)}>
                {placeOf({ path })}
              </Button>{' '}
              {ofItself(path, message)}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** What is wrong, without the name of the field that stands before it. */
function ofItself(path: Fault['path'], message: string): string {
  const own = `${path.at(-1)} `;
  return message.startsWith(own) ? message.slice(own.length) : message;
}

/** Opens the item in which something is wrong and goes to its first faulty field, or to where it begins. */
function goTo([list, index]: Fault['path']): void {
  const part = document.getElementById(`draft-${list}`) ?? document.getElementById('draft-whole');
  const item = document.getElementById(`draft-${list}-${index}`);
  const summary = item?.querySelector('summary');
  if (item?.querySelector('details')?.open === false) summary?.click();
  requestAnimationFrame(() => {
    const field = (item ?? part)?.querySelector<HTMLElement>('[aria-invalid=true]');
    (field ?? summary ?? part?.querySelector<HTMLElement>('summary, button'))?.focus();
  });
}
