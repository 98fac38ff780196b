import { useState } from 'react';
import { looksLikeLabel } from '../../core/gs1/label.js';
import { api, got, once, Problem } from '../api.js';
import type { Scanned, Subject } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
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
    (scanned, text) => {
      const { subject } = scanned;
      if (!subject) return setFault(whyNoSubject(scanned, text));
      const label = shortLabel(subject.label);
      if (taken.includes(subject.id)) return setFault(words.already(label));
      if (kind === 'control' && subject.kind !== 'control') return setFault(words.notAControl(label));
      if (kind !== 'control' && subject.kind === 'control') return setFault(words.isControl(label));
      return onPick(subject);
    },
  );
  const problem = find.error instanceof Problem ? find.error.said : find.error?.message;
  return (
    <div className="picker">
      <ScanField
        label={words.scan}
        action={words.find}
        error={fault ?? problem}
        busy={find.isPending}
        onText={(text) => {
          setFault(undefined);
          find.ask(text);
        }}
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

/** Why what was scanned or typed puts nothing on a run. */
export function whyNoSubject({ kind, message }: Scanned, text: string): string {
  if (kind !== 'unknown') return words.notOnARun(message);
  // Of a label of ours it is known what is wrong; called unknown, it would be registered a second time.
  return looksLikeLabel(text) ? message : words.notASpecimen(text);
}
