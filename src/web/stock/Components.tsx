import { useState } from 'react';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { useSession } from '../app/session.js';
import { STOCK } from './words.js';

const words = STOCK.in;

/** A container that a preparation is made of. */
export interface Component {
  id: string;
  label: string;
  message: string;
}

/** What a preparation is made of, scanned one after the other. */
export function Components({
  components,
  onChange,
}: {
  components: readonly Component[];
  onChange: (components: readonly Component[]) => void;
}) {
  const { format } = useSession();
  const [fault, setFault] = useState<string | undefined>();
  const scan = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    ({ container, message }) => {
      setFault(container ? undefined : `${message} ${words.notAContainer}`);
      if (container && !components.some(({ id }) => id === container.id)) {
        onChange([...components, { id: container.id, label: container.label, message }]);
      }
    },
  );
  return (
    <fieldset className="came">
      <legend>{words.components}</legend>
      <ScanField
        label={words.componentsHelp}
        action={words.take}
        error={fault}
        busy={scan.isPending}
        onText={scan.ask}
      />
      <ProblemNote problem={scan.error} />
      <ul className="checks">
        {components.map((component) => (
          <li key={component.id}>
            {format.within(component.message)}{' '}
            <Button
              look="quiet"
              aria-label={`${words.remove}: ${component.label}`}
              onPress={() => onChange(components.filter((each) => each !== component))}
            >
              {words.remove}
            </Button>
          </li>
        ))}
      </ul>
    </fieldset>
  );
}
