/**
 * What the browser is sent: only imports that survive compilation count here, so a core file may name the types of a
 * file that it does not load.
 */
const base = require('./.dependency-cruiser.cjs');

module.exports = {
  forbidden: [
    {
      name: 'the-bench-carries-no-zone-unit-or-server-library',
      comment:
        'Limits that depend on a time zone or a unit are computed on the server and travel as instants and numbers.',
      severity: 'error',
      from: { path: '^src/web/', pathNot: '^src/web/vite\\.config\\.ts$' },
      to: { reachable: true, path: '^(node:)?crypto$|^node_modules/(temporal-polyfill|@lhncbc/ucum-lhc)/' },
    },
  ],
  options: { ...base.options, tsPreCompilationDeps: false },
};
