import { useQueryClient } from '@tanstack/react-query';
import { api, got, once } from '../api.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { BATHS as words } from './words.js';

/** Records that a bath was filtered just now; asked with the bath's id. */
export function useFiltered() {
  const queries = useQueryClient();
  return useChange(
    (id: string, key) => got(api.POST('/api/baths/{id}/filter', { params: { path: { id } }, body: {}, ...once(key) })),
    async ({ label }) => {
      say(words.filtered(shortLabel(label)));
      await queries.invalidateQueries({ queryKey: ['stock', 'baths'] });
    },
  );
}
