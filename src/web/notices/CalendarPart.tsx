import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Part } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { NOTICES as words } from './words.js';

/** One's own address of the calendar: made, shown once, ended. */
export function CalendarPart() {
  const queries = useQueryClient();
  const { format, may } = useSession();
  const own = useQuery({ queryKey: ['calendar'], queryFn: () => got(api.GET('/api/session/calendar')) });
  const refresh = () => queries.invalidateQueries({ queryKey: ['calendar'] });
  const make = useChange(() => got(api.POST('/api/session/calendar')), refresh);
  const end = useChange(
    () => got(api.DELETE('/api/session/calendar')),
    async () => {
      say(words.calendarEnded);
      make.reset();
      await refresh();
    },
  );
  if (!may('technician', 'releaser', 'manager', 'director', 'administrator')) return null;
  const [link] = own.data ?? [];
  return (
    <Part title={words.calendar} about={words.calendarAbout}>
      {make.data && (
        <Field
          label={words.calendarAddress}
          help={words.calendarOnce}
          value={location.origin + make.data.path}
          isReadOnly
        />
      )}
      {link && !make.data && <p>{words.calendarSince(format.dayAndClock(link.madeAt))}</p>}
      <ProblemNote problem={make.error ?? end.error} />
      <div className="row-ways">
        <Button isDisabled={make.isPending} onPress={() => make.ask(undefined)}>
          {link ? words.calendarAnew : words.calendarMake}
        </Button>
        {link && (
          <Button look="quiet" isDisabled={end.isPending} onPress={() => end.ask(undefined)}>
            {words.calendarEnd}
          </Button>
        )}
      </div>
    </Part>
  );
}
