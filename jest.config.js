const swc = (tsx) => [
  '@swc/jest',
  {
    swcrc: false,
    jsc: {
      parser: { syntax: 'typescript', tsx, decorators: true },
      transform: { legacyDecorator: true, decoratorMetadata: true, react: { runtime: 'automatic' } },
      target: 'es2022',
    },
    module: { type: 'es6' },
    sourceMaps: 'inline',
  },
];

/** @type {import('jest').Config} */
export default {
  testMatch: ['<rootDir>/test/**/*.test.ts', '<rootDir>/test/**/*.test.tsx'],
  modulePathIgnorePatterns: ['<rootDir>/dist/'],
  extensionsToTreatAsEsm: ['.ts', '.tsx'],
  moduleNameMapper: { '^(\\.{1,2}/.*)\\.js$': '$1' },
  transform: { '\\.ts$': swc(false), '\\.tsx$': swc(true) },
  maxWorkers: 2,
  // Longer than any test takes on a busy machine: what hangs ends here, what is slow does not.
  testTimeout: 300_000,
  reporters: ['default', '<rootDir>/test/support/reporter.js'],
};
