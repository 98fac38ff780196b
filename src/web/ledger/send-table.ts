import { api, got, once } from '../api.js';
import type { Imported } from './ledger.js';

const XLSX = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

/** A table and what is asked of it. */
export interface TableWish {
  file: File;
  encoding: 'utf-8' | 'utf-16' | 'windows-1252';
  dryRun: boolean;
  takeRightRows?: boolean;
  key?: string;
}

/** Sends a table as the body itself. */
export function sendTable({ file, encoding, dryRun, takeRightRows = false, key }: TableWish): Promise<Imported> {
  const type = file.name.toLowerCase().endsWith('.xlsx') ? XLSX : 'text/csv';
  const named = key === undefined ? {} : once(key).headers;
  return got(
    api.POST('/api/stock/import', {
      params: {
        header: { 'content-type': type },
        query: {
          dryRun: String(dryRun),
          takeRightRows: String(takeRightRows),
          ...(encoding !== 'utf-8' && { encoding }),
        },
      },
      headers: named,
      // The file itself is the body; it is no JSON.
      body: file as never,
      bodySerializer: (body: unknown) => body as File,
    }),
  );
}
