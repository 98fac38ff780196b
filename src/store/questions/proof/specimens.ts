import type { RuleCode } from '../../../core/gate/rules.js';
import { joined, type Sql, sql } from '../sql.js';
import { gapUnless, type Proof } from './proof.js';

/** Proofs of how specimens were handled: the gate judged it at each release, and its findings stand there. */
export const SPECIMEN_PROOFS = {
  'gyn-papanicolaou': { sql: () => releasesOf(sql`= 'gynaecological'`, 'cytology', ['gyn-not-papanicolaou']) },
  'gyn-apart': { sql: () => releasesOf(sql`IS NOT NULL`, 'cytology', ['gyn-beside-other']) },
  'contaminating-apart': {
    sql: () => releasesOf(sql`IS NOT NULL`, 'cytology', ['contaminating-beside-other', 'stain-not-renewed']),
  },
  'ischaemia-kept': {
    sql: () => releasesOf(sql`IS NOT NULL`, 'tissue_test', ['cold-ischaemia-long', 'tissue-times-unknown']),
  },
  'fixation-kept': {
    sql: () =>
      releasesOf(sql`IS NOT NULL`, 'tissue_test', [
        'fixation-short',
        'fixation-long',
        'fixative-other',
        'tissue-times-unknown',
      ]),
  },
} satisfies Record<string, Proof>;

/** Releases of specimens that are such, or cut from such, each a gap when the gate ever found one of these. */
function releasesOf(such: Sql, column: 'cytology' | 'tissue_test', rules: readonly RuleCode[]): Sql {
  const of: Sql = { chunks: [`COALESCE(subject.${column}, specimen.${column}) `], values: [] };
  const found = rules.map((rule) => {
    const named = `%"rule":"${rule}"%`;
    return sql`release.findings LIKE ${named} OR EXISTS (SELECT 1 FROM release_answer answer
      WHERE answer.release_id = release.id AND answer.worse LIKE ${named})`;
  });
  return sql`SELECT release.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref,
      worked.title || ': ' || subject.description AS what, ${gapUnless(sql`NOT (${joined(found, ' OR ', '1 = 0')})`)}
    FROM worked JOIN release ON release.run_id = worked.id JOIN subject ON subject.id = release.subject_id
    LEFT JOIN subject specimen ON specimen.id = subject.parent_id WHERE ${of}${such}`;
}
