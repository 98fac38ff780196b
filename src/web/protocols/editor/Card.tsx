import { type ReactNode, useState } from 'react';
import { Button } from '../../parts/Button.js';
import { Tag } from '../../parts/Page.js';
import { Sheet } from '../../parts/Sheet.js';
import { WORDS } from '../../words.js';
import { EDITOR } from './words.js';

const words = EDITOR.card;

/** One item of a list that is written: its line, its place in the list, and its fields when it is opened. */
export function Card({
  id,
  name,
  line,
  faults,
  at,
  count,
  stays,
  opensAtOnce,
  onMove,
  onRemove,
  onAfter,
  children,
}: {
  id: string;
  /** What it is called where it is moved or removed: 'Step 3'. */
  name: string;
  line: ReactNode;
  faults: number;
  at: number;
  count: number;
  /** It cannot be removed, as it is the last one that must be there. */
  stays: boolean;
  /** It has just been added. */
  opensAtOnce: boolean;
  onMove: (to: number) => void;
  onRemove: () => void;
  /** Adds another one after it; absent where order means nothing. */
  onAfter?: () => void;
  children: ReactNode;
}) {
  const [open, setOpen] = useState(opensAtOnce);
  const [leaving, setLeaving] = useState(false);
  return (
    <li id={id} className={faults > 0 ? 'draft-card draft-card-faulty' : 'draft-card'}>
      <details open={open} onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
        <summary
          onClick={(event) => {
            // At once, so that whoever is sent here finds the fields.
            event.preventDefault();
            setOpen(!open);
          }}
        >
          <span className="draft-card-line">
            <strong>{name}</strong> {line}
          </span>
          {faults > 0 && <Tag frame="double">{words.faults(faults)}</Tag>}
        </summary>
        {open && <div className="draft-card-fields">{children}</div>}
      </details>
      <div className="draft-card-ways">
        <Button look="quiet" aria-label={words.up(name)} isDisabled={at === 0} onPress={() => onMove(at - 1)}>
          ↑
        </Button>
        <Button look="quiet" aria-label={words.down(name)} isDisabled={at === count - 1} onPress={() => onMove(at + 1)}>
          ↓
        </Button>
        {onAfter && (
          <Button look="quiet" aria-label={words.after(name)} onPress={onAfter}>
            {words.add}
          </Button>
        )}
        <Button look="quiet" aria-label={words.removes(name)} isDisabled={stays} onPress={() => setLeaving(true)}>
          {words.remove}
        </Button>
      </div>
      {leaving && (
        <Sheet title={words.removeAsk(name)} onClose={() => setLeaving(false)} closeWord={WORDS.cancel}>
          <p>{line}</p>
          <Button look="main" onPress={onRemove}>
            {words.remove}
          </Button>
        </Sheet>
      )}
    </li>
  );
}
