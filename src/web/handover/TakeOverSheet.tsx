import { Link } from 'react-aria-components';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { TakeOver } from './TakeOver.js';
import { HANDOVER as words } from './words.js';

/** Takes a station over by badge and PIN; `scanned` is the badge when it was scanned already. */
export default function TakeOverSheet({ scanned = '', onClose }: { scanned?: string; onClose: () => void }) {
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <p className="small">{words.help}</p>
      <TakeOver scanned={scanned} takesFocus onTaken={onClose} />
      <p>
        <Link href="/hand-over" onPress={onClose}>
          {words.see}
        </Link>
      </p>
    </Sheet>
  );
}
