import { expect, it } from '@jest/globals';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

it('Two contract classes never share a name: the OpenAPI document would make one schema of both', () => {
  const folder = join(process.cwd(), 'src', 'contract');
  const names = readdirSync(folder).flatMap((file) =>
    [...readFileSync(join(folder, file), 'utf8').matchAll(/^export (?:abstract )?class (\w+)/gm)].map(
      ([, name]) => name,
    ),
  );
  expect(names.length).toBeGreaterThan(100);
  expect(names.filter((name, n) => names.indexOf(name) !== n)).toEqual([]);
});
