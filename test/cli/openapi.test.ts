import { expect, it } from '@jest/globals';
import { stainwright } from './stainwright.js';

interface Parameter {
  in: string;
  name: string;
  description?: string;
  required?: boolean;
  schema: { default?: unknown };
}

it('says of each query parameter what it is, and that one with a default may be left out', async () => {
  const { out, code } = await stainwright(['openapi']);
  expect(code).toBe(0);
  const { paths } = JSON.parse(out) as { paths: Record<string, Record<string, { parameters?: Parameter[] }>> };
  const asked = Object.entries(paths).flatMap(([path, methods]) =>
    Object.values(methods).flatMap(({ parameters = [] }) =>
      parameters.filter((each) => each.in === 'query').map((each) => ({ path, ...each })),
    ),
  );
  const named = (some: typeof asked): string[] => some.map(({ path, name }) => `${path}?${name}`);
  expect(asked.length).toBeGreaterThan(200);
  expect(named(asked.filter(({ description = '' }) => description === ''))).toEqual([]);
  expect(named(asked.filter(({ required, schema }) => required && schema.default !== undefined))).toEqual([]);
});
