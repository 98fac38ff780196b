import type { Reviewed } from '../../store/questions/review/within.js';

/** How far a route is open to a reviewer. */
export type Reach =
  /** The reviewer's own session: it answers whether or not anything is granted. */
  | 'own'
  /** What the laboratory has laid down rather than done; no period applies, and no look is kept. */
  | 'laid down'
  /** It keeps to `acting.review` by itself and keeps the look. */
  | 'by scope'
  /** One record, named by a parameter of the path or the query. */
  | { record: Reviewed; by: string }
  /** It takes a period of local days or instants, which must lie within the grant, and may be kept to one protocol. */
  | { period: 'days' | 'instants'; protocol: string }
  /** A local month in the path, which must lie within a grant of all protocols. */
  | 'month';

/**
 * Everything that a reviewer may ask. What is not here is refused: it cannot be kept to the period that was granted, or
 * it is no record of work.
 */
export const REVIEWER_ROUTES: Readonly<Record<string, Reach>> = {
  'GET /api/session': 'own',
  'DELETE /api/session': 'own',
  'POST /api/session/password': 'own',
  'GET /api/review/scope': 'own',
  'GET /api/guide': 'own',

  'GET /api/live': 'laid down',
  'GET /api/people': 'laid down',
  'GET /api/protocols': 'laid down',
  'GET /api/revisions/:id': 'laid down',
  'GET /api/revisions/:a/compare/:b': 'laid down',
  'GET /api/reagents': 'laid down',
  'GET /api/reagents/revisions': 'laid down',
  'GET /api/sources': 'laid down',
  'GET /api/gate/rules': 'laid down',
  'GET /api/policies': 'laid down',
  'GET /api/recipes': 'laid down',
  'GET /api/recipes/:code': 'laid down',
  'GET /api/place-names': 'laid down',
  // Which numbers were printed, and that each is accounted for.
  'GET /api/paper-sheets': 'laid down',
  'GET /api/bath-rules': 'laid down',
  'GET /api/control-plans': 'laid down',
  'GET /api/control-plans/:protocol': 'laid down',
  'GET /api/laboratory-calendar': 'laid down',

  'GET /api/runs/:id': { record: 'run', by: 'id' },
  'GET /api/runs/:id/judgement': { record: 'run', by: 'id' },
  'GET /api/runs/:id/holds': { record: 'run', by: 'id' },
  'GET /api/runs/:id/fhir': { record: 'run', by: 'id' },
  'GET /api/runs/:id/pictures': { record: 'run', by: 'id' },
  'GET /api/runs/:id/report.pdf': { record: 'run', by: 'id' },
  'GET /api/releases': { record: 'run', by: 'run' },
  'GET /api/lots/:id': { record: 'lot', by: 'id' },
  'GET /api/preparations/:lot': { record: 'lot', by: 'lot' },
  'GET /api/orders/:id': { record: 'order', by: 'id' },
  'GET /api/files/:id': { record: 'file', by: 'id' },
  'GET /api/control-failures/:id': { record: 'control-result', by: 'id' },
  'GET /api/second-looks/:id': { record: 'second-look', by: 'id' },
  'GET /api/deviations/:id': { record: 'deviation', by: 'id' },
  'GET /api/packs/:id/download': { record: 'pack', by: 'id' },
  'GET /api/reports/month/:month': 'month',
  'GET /api/reports/month/:month/summary.pdf': 'month',
  'GET /api/control-days-without': { period: 'days', protocol: 'protocol' },
  'GET /api/control-results': { period: 'instants', protocol: 'protocol' },

  'POST /api/packs': 'by scope',
  'GET /api/packs': 'by scope',
  'GET /api/packs/:id': 'by scope',
  'POST /api/packs/:id/again': 'by scope',
  'DELETE /api/packs/:id': 'by scope',

  'GET /api/second-looks': 'by scope',
  'GET /api/second-looks/releases': 'by scope',

  'GET /api/record': 'by scope',
  'GET /api/review/find': 'by scope',
  'GET /api/review/answer': 'by scope',
  'GET /api/review/answer.csv': 'by scope',
  'GET /api/review/requirements': 'by scope',
  'GET /api/review/requirements/:id': 'by scope',
  'GET /api/review/sample': 'by scope',
  'GET /api/review/population.csv': 'by scope',
  'GET /api/review/signatures': 'by scope',
};
