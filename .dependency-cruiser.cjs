const ALL = Symbol('all');

/**
 * The import table of the tree, one rule a folder: what a folder may import is listed, the rest is refused.
 * `local` and `packages` are regular expressions over paths from the root and over package names.
 */
const folders = [
  {
    name: 'core',
    from: '^src/core/',
    local: ['src/core/'],
    packages: ['temporal-polyfill', '@lhncbc/ucum-lhc', 'canonicalize', '@medplum/fhirtypes'],
    // node:crypto only where content is hashed; the next rule says where.
    builtins: ['crypto'],
  },
  {
    name: 'contract',
    from: '^src/contract/',
    local: ['src/contract/', 'src/core/'],
    packages: ['class-validator', 'class-transformer', '@nestjs/swagger', 'reflect-metadata'],
  },
  {
    name: 'clock',
    from: '^src/clock\\.ts$',
    local: ['src/core/'],
  },
  {
    name: 'config',
    from: '^src/config\\.ts$',
    local: ['src/core/', 'src/contract/'],
    packages: ['class-validator', 'class-transformer', 'reflect-metadata'],
    builtins: ALL,
  },
  {
    name: 'store',
    from: '^src/store/',
    local: ['src/store/', 'src/core/', 'src/contract/', 'src/config\\.ts', 'src/clock\\.ts'],
    packages: ['typeorm', 'sqlite3', 'pg', 'uuid', 'reflect-metadata'],
    builtins: ALL,
  },
  {
    name: 'pictures',
    from: '^src/pictures/',
    local: ['src/pictures/', 'src/core/'],
    packages: ['fast-png', 'sharp', 'tiff'],
    builtins: ALL,
  },
  {
    name: 'reports',
    from: '^src/reports/',
    local: ['src/reports/', 'src/core/', 'src/contract/'],
    packages: ['pdfkit', 'fontkit', 'dejavu-fonts-ttf', 'bwip-js'],
    builtins: ['module'],
  },
  {
    name: 'packs',
    from: '^src/packs/',
    local: ['src/packs/', 'src/core/', 'src/store/', 'src/reports/', 'src/config\\.ts'],
    packages: ['@zip.js/zip.js', 'yaml'],
    builtins: ALL,
  },
  {
    name: 'jobs',
    from: '^src/jobs/',
    local: [
      'src/jobs/',
      'src/core/',
      'src/contract/',
      'src/store/',
      'src/packs/',
      'src/pictures/',
      'src/reports/',
      'src/config\\.ts',
      'src/clock\\.ts',
    ],
    packages: ['bullmq', 'ioredis', 'nodemailer'],
    builtins: ALL,
  },
  {
    name: 'modules',
    from: '^src/modules/',
    // Which module may import which is the rule `modules-are-islands`.
    local: [
      'src/modules/',
      'src/core/',
      'src/contract/',
      'src/store/',
      'src/jobs/',
      'src/reports/',
      'src/packs/folder\\.ts',
      'src/config\\.ts',
      'src/clock\\.ts',
    ],
    packages: ALL,
    builtins: ALL,
  },
  {
    name: 'web',
    from: '^src/web/(?!vite\\.config\\.ts$)',
    local: ['src/web/', 'src/core/'],
    packages: [
      'idb',
      'zxing-wasm',
      'bwip-js',
      'react',
      'react-dom',
      'react-aria-components',
      '@tanstack/react-query',
      '@tanstack/react-virtual',
      'openapi-fetch',
      '@observablehq/plot',
    ],
  },
  {
    // The invented laboratory acts through the API, as a page would.
    name: 'demo',
    from: '^src/(demo/|client\\.ts$)',
    local: [
      'src/demo/',
      'src/core/',
      'src/contract/',
      'src/client\\.ts',
      'src/clock\\.ts',
      'src/config\\.ts',
      'src/open-store\\.ts',
      'src/store/store\\.ts',
      'src/store/rows/',
    ],
    packages: ['@nestjs/platform-fastify', 'fast-png'],
    builtins: ALL,
  },
  {
    name: 'entry-points',
    from: '^src/(cli/|(main|worker|cli|app|app\\.module|open-store)\\.ts$)',
    local: ['src/(?!web/)'],
    packages: ALL,
    builtins: ALL,
  },
];

const any = (patterns) => `(?:${patterns.join('|')})`;

/** What TypeScript declares for a package counts as the package. */
const npm = (names) => `^node_modules/(?:@types/)?${any(names)}/`;

/** Built-in modules and, where a folder takes all of them, packages are told by their kind: their paths have no common start. */
function allowances({ name, from, local, packages = [], builtins = [] }) {
  const kinds = [];
  const path = [`^${any(local)}`];
  if (packages === ALL) kinds.push('npm', 'npm-dev', 'npm-optional', 'npm-peer');
  else if (packages.length > 0) path.push(npm(packages));
  if (builtins === ALL) kinds.push('core');
  else if (builtins.length > 0) path.push(`^(?:node:)?${any(builtins)}$`);
  const to = kinds.length > 0 ? { pathNot: path, dependencyTypesNot: kinds } : { pathNot: path };
  return { name: `${name}-imports-only-its-own`, severity: 'error', from: { path: from }, to };
}

module.exports = {
  forbidden: [
    ...folders.map(allowances),
    {
      name: 'crypto-in-core-only-where-content-is-hashed',
      severity: 'error',
      from: { path: '^src/core/', pathNot: '^src/core/(record/|protocol/content(\\.ts$|/))' },
      to: { path: '^(node:)?crypto$' },
    },
    {
      name: 'database-only-in-store',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/store/' },
      to: { path: npm(['typeorm', 'sqlite3', 'pg']) },
    },
    {
      name: 'redis-only-in-bull',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/jobs/bull\\.ts$' },
      to: { path: npm(['bullmq', 'ioredis']) },
    },
    {
      name: 'modules-are-islands',
      severity: 'error',
      from: { path: '^src/modules/([^/]+)/' },
      to: { path: '^src/modules/', pathNot: '^src/modules/($1|http)/' },
    },
    {
      name: 'no-cycles',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    {
      name: 'no-unresolved-import',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true },
    },
    {
      name: 'no-dev-dependency-at-run-time',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/web/' },
      to: { dependencyTypes: ['npm-dev', 'npm-no-pkg', 'npm-unknown'], dependencyTypesNot: ['type-only'] },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    // Files that a page is sent as they are.
    exclude: { path: ['^src/web/.*\\.(css|svg|png|woff2|json)$', '\\?url$'] },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'node', 'default', 'types'],
      // A package of types alone has no other entry.
      mainFields: ['main', 'types'],
      extensions: ['.ts', '.tsx', '.js', '.json', '.d.ts'],
    },
  },
};
