import { useMutation } from '@tanstack/react-query';
import type { OpenedPass } from '../offline/pass-store.js';
import { badgeIn } from '../offline/passes.js';
import { say } from '../parts/notices.js';
import { type BadgeAndPin, BadgeForm } from './BadgeForm.js';
import { HANDOVER } from './words.js';

const words = HANDOVER.badgeIn;

/** For the page on which nobody is signed in, while the server is out of reach: goes on under a day pass of this device. */
export default function BadgeIn({
  takesFocus,
  onBadgedIn,
}: {
  takesFocus: boolean;
  onBadgedIn: (pass: OpenedPass) => Promise<void>;
}) {
  const open = useMutation({
    mutationFn: ({ badge, pin }: BadgeAndPin) => badgeIn(badge, pin),
    onSuccess: async ({ pass, held }) => {
      await onBadgedIn(pass);
      say(held ? HANDOVER.done(pass.person.name) : words.nothingHeld(pass.person.name));
    },
    networkMode: 'always',
  });
  return (
    <section aria-labelledby="badge-in" className="badge-in">
      <h2 id="badge-in">{words.title}</h2>
      <p>{words.about}</p>
      <p className="small">{words.not}</p>
      <BadgeForm
        takesFocus={takesFocus}
        action={words.action}
        pending={open.isPending}
        problem={open.error}
        onAsk={open.mutate}
      />
    </section>
  );
}
