import { useState } from 'react';
import { api, got, once, Problem } from '../api.js';
import type { Subject } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { ScanField } from '../parts/ScanField.js';
import { RegisterSheet } from './RegisterSheet.js';
import { NEW_RUN as words } from './words.js';

/** Finds a specimen, slide or control by its label, or registers it. */
export function SubjectPicker({
  kind,
  irreplaceable,
  description,
  taken,
  onPick,
}: {
  kind: Subject['kind'];
  irreplaceable: boolean;
  description: string;
  /** Ids of what is on the run already. */
  taken: readonly string[];
  onPick: (subject: Subject) => void;
}) {
  const [fault, setFault] = useState<string | undefined>();
  const [registering, setRegistering] = useState(false);
  const find = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    ({ subject, message, kind: found }, text) => {
      if (!subject) return setFault(found === 'unknown' ? words.notASpecimen(text) : message);
      if (taken.includes(subject.id)) return setFault(words.already(subject.label));
      if (kind === 'control' && subject.kind !== 'control') return setFault(words.notAControl(subject.label));
      if (kind !== 'control' && subject.kind === 'control') return setFault(words.isControl(subject.label));
      setFault(undefined);
      return onPick(subject);
    },
  );
  const problem = find.error instanceof Problem ? find.error.detail : find.error?.message;
  return (
    <div className="picker">
      <ScanField
        label={words.scan}
        action={words.find}
        error={fault ?? problem}
        busy={find.isPending}
        onText={(text) => find.ask(text)}
      />
      <Button onPress={() => setRegistering(true)}>{words.register}</Button>
      {registering && (
        <RegisterSheet
          kind={kind}
          irreplaceable={irreplaceable}
          description={description}
          onDone={onPick}
          onClose={() => setRegistering(false)}
        />
      )}
    </div>
  );
}
