import js from '@eslint/js';
import a11y from 'eslint-plugin-jsx-a11y-x';
import reactHooks from 'eslint-plugin-react-hooks';
import tseslint from 'typescript-eslint';

/** Attributes whose text a person reads or hears. */
const READ = '/^(label|title|help|placeholder|alt|word|about|closeWord|aria-label|aria-description|aria-valuetext)$/';

export default tseslint.config(
  { ignores: ['dist/', 'data/', 'coverage/', 'src/web/api.gen.ts'] },
  { linterOptions: { noInlineConfig: true, reportUnusedDisableDirectives: 'error' } },
  js.configs.recommended,
  {
    files: ['**/*.{js,cjs}'],
    languageOptions: { globals: { process: 'readonly', console: 'readonly', module: 'writable', URL: 'readonly' } },
  },
  {
    files: ['**/*.{ts,tsx}'],
    extends: [tseslint.configs.strict],
    languageOptions: {
      parserOptions: {
        projectService: { allowDefaultProject: ['src/web/vite.config.ts'] },
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/ban-ts-comment': [
        'error',
        { 'ts-expect-error': true, 'ts-ignore': true, 'ts-nocheck': true },
      ],
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': ['error', { checksVoidReturn: { attributes: false } }],
      '@typescript-eslint/await-thenable': 'error',
      '@typescript-eslint/return-await': ['error', 'in-try-catch'],
      '@typescript-eslint/only-throw-error': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/no-unsafe-argument': 'error',
      '@typescript-eslint/no-unsafe-assignment': 'error',
      '@typescript-eslint/no-unsafe-call': 'error',
      '@typescript-eslint/no-unsafe-member-access': 'error',
      '@typescript-eslint/no-unsafe-return': 'error',
      // Stays out of files with decorators by itself, since their imports are read at run time (emitDecoratorMetadata).
      '@typescript-eslint/consistent-type-imports': ['error', { fixStyle: 'inline-type-imports' }],
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', ignoreRestSiblings: true }],
      // GS1 and HL7 separators are control characters.
      'no-control-regex': 'off',
      // A Nest module is a class with nothing but a decorator.
      '@typescript-eslint/no-extraneous-class': ['error', { allowWithDecorator: true }],
    },
  },
  {
    // In a test a wrong `!` fails the test, which is what it should do.
    files: ['test/**/*.{ts,tsx}'],
    rules: { '@typescript-eslint/no-non-null-assertion': 'off' },
  },
  {
    files: ['src/web/**/*.{ts,tsx}', 'test/web/components/**/*.{ts,tsx}'],
    extends: [reactHooks.configs.flat.recommended, a11y.configs.recommended],
  },
  {
    // What people read stands in words.ts, where a translation finds it.
    files: ['src/web/**/*.tsx'],
    rules: {
      'no-restricted-syntax': [
        'error',
        ...[
          'JSXText[value=/[A-Za-z]{2}/]',
          'JSXElement > JSXExpressionContainer > Literal[value=/[A-Za-z]{2}/]',
          `JSXAttribute[name.name=${READ}] > Literal[value=/[A-Za-z]{2}/]`,
          `JSXAttribute[name.name=${READ}] > JSXExpressionContainer > TemplateLiteral > TemplateElement[value.raw=/[A-Za-z]{2}/]`,
          `JSXAttribute[name.name=${READ}] > JSXExpressionContainer > ConditionalExpression > Literal[value=/[A-Za-z]{2}/]`,
        ].map((selector) => ({ selector, message: 'Words that people read belong into words.ts.' })),
      ],
    },
  },
  {
    files: ['src/core/**/*.ts'],
    rules: {
      'no-restricted-globals': ['error', 'process', 'console', 'fetch', 'setTimeout', 'setInterval', 'performance'],
      'no-restricted-properties': [
        'error',
        { object: 'Date', property: 'now', message: 'core reads no clock; take `now` as an argument.' },
        { object: 'Math', property: 'random', message: 'core draws no random numbers.' },
      ],
      'no-restricted-syntax': [
        'error',
        {
          selector: "NewExpression[callee.name='Date'][arguments.length=0]",
          message: 'core reads no clock; take `now` as an argument.',
        },
      ],
    },
  },
);
