import { beforeAll, expect, it } from '@jest/globals';
import type { OpenAPIObject } from '@nestjs/swagger';
import { ROLES } from '../../src/core/people/roles.js';
import { stainwright } from '../cli/stainwright.js';
import type { Answer, Client } from '../support/app.js';
import { freshPostgres } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { onProgram, test } from '../support/stage.js';

interface Schema {
  $ref?: string;
  type?: string;
  enum?: unknown[];
  properties?: Record<string, Schema>;
  required?: string[];
  items?: Schema;
  allOf?: Schema[];
  oneOf?: Schema[];
}

interface Operation {
  parameters?: { in: string; name: string; required?: boolean; schema: Schema }[];
  requestBody?: { content: Record<string, { schema: Schema }> };
}

interface Problem {
  code: string;
  detail: string;
  problems?: { at: string; message: string }[];
}

/** Where a value stands in a body. */
type Place = (string | number)[];

/** What no field means, what no database keeps, and what no arithmetic on days and numbers survives. */
const ODD: unknown[] = [
  ...[null, true, 7, -1, 1e308, [], [null], {}],
  ...['', '__proto__', 'a\u0000b', '\ud800', '𝔘😀', '0001-01-01', '9999-12-31T23:59:59.999Z'],
];
const ODD_QUERY = [
  ...['', '%00', '%FF', '%ED%A0%80', '%25', '-1', '0', '0.5', '1e308', 'NaN', '99999999999999999999', 'constructor'],
  ...['2026-02-30', '0001-01-01', '9999-12-31', '9999-12-31T23:59:59.999Z', '0001-01-01T00:00:00.000Z'],
];
const ODD_PATH = [
  'zz',
  'a%00b',
  '..%2f..%2fetc%2fpasswd',
  '%FF',
  '%F0%9F%98%80',
  '99999999999999999999',
  '-1',
  '9999-12',
];

/** Signs the caller out or changes the password it goes on with. */
const LAST = ['DELETE /api/session', 'POST /api/session/hand-over'];
/** Answers for as long as somebody listens. */
const ENDLESS = ['GET /api/live'];

/** On PostgreSQL alone, since SQLite keeps whatever it is given: what passes here passes there. */
describeWith('postgres', 'No route', () => {
  onProgram(freshPostgres);

  let document: OpenAPIObject;
  let everyone: Client;
  let furnished: Furnished;
  let run: string;
  let faults: string[];

  beforeAll(async () => {
    // The build's own: what a class says of itself without a decorator is known to it alone.
    document = JSON.parse((await stainwright(['openapi'])).out) as OpenAPIObject;
    furnished = await furnish(test);
    everyone = await test.as(...(ROLES.filter((role) => role !== 'reviewer') as ['technician']));
    run = await new Bench(test, everyone, furnished).start();
  });

  const resolved = (schema: Schema | undefined): Schema => {
    const name = schema?.$ref?.split('/').at(-1);
    const named = name === undefined ? (schema ?? {}) : (document.components?.schemas?.[name] as Schema);
    const parts = (named.allOf ?? named.oneOf?.slice(0, 1) ?? []).map(resolved);
    return parts.length > 0 ? (Object.assign({}, ...parts) as Schema) : named;
  };

  /** Something that has the form, and wherever it can be told from the name, names something that is there. */
  const likely = (name: string, given: Schema | undefined, depth = 0): unknown => {
    const { type, enum: choices, properties = {}, required = [], items } = resolved(given);
    if (choices) return choices[0];
    if (type === 'array') return depth > 6 ? [] : [likely(name, items, depth + 1)];
    if (type === 'number') return 2;
    if (type === 'boolean') return true;
    if (type === 'object') {
      return Object.fromEntries(required.map((key) => [key, likely(key, properties[key], depth + 1)]));
    }
    if (/revision/i.test(name)) return furnished.revisionId;
    if (/subject/i.test(name)) return furnished.core;
    if (/run/i.test(name)) return run;
    if (/container/i.test(name)) return Object.values(furnished.containers)[0];
    if (/^reagent/i.test(name)) return Object.keys(furnished.containers)[0];
    if (/protocol/i.test(name)) return furnished.protocol.id;
    if (/^(at|from|since|effectiveFrom|plannedAt)$/.test(name)) return test.clock.now();
    if (/^to|until/i.test(name)) return '2026-11-25T20:00:00.000Z';
    if (/day|expiry|date/i.test(name)) return '2027-03-01';
    return name === 'unit' ? 'mL' : `word-${name.toLowerCase()}`;
  };

  const placesIn = (given: Schema | undefined, at: Place = []): Place[] => {
    const { properties = {}, items } = resolved(given);
    if (at.length > 6) return [at];
    return [
      at,
      ...Object.entries(properties).flatMap(([key, inner]) => placesIn(inner, [...at, key])),
      ...(items ? placesIn(items, [...at, 0]) : []),
    ];
  };

  /** A likely body with one odd value in it. */
  const withOdd = (given: Schema, place: Place, odd: unknown): unknown => {
    if (place.length === 0) return odd;
    const body = likely('', given) as Record<string | number, unknown>;
    let [within, schema] = [body, resolved(given)];
    for (const key of place.slice(0, -1)) {
      schema = resolved(typeof key === 'number' ? schema.items : schema.properties?.[key]);
      const there = within[key];
      within[key] = typeof there === 'object' && there !== null ? there : likely(String(key), schema);
      within = within[key] as Record<string | number, unknown>;
    }
    within[place.at(-1) ?? ''] = odd;
    return body;
  };

  const operations = (): { name: string; method: string; path: string; operation: Operation }[] =>
    Object.entries(document.paths)
      .flatMap(([path, item]) =>
        Object.entries(item as Record<string, Operation>).map(([verb, operation]) => {
          const method = verb.toUpperCase();
          return { name: `${method} ${path}`, method, path, operation };
        }),
      )
      .filter(({ name }) => !ENDLESS.includes(name) && !LAST.some((last) => name.startsWith(last)));

  const pathOf = (path: string): string =>
    path
      .replace('/runs/{id}', `/runs/${run}`)
      .replace('/revisions/{id}', `/revisions/${furnished.revisionId}`)
      .replace('/containers/{id}', `/containers/${Object.values(furnished.containers)[0]}`)
      .replace('/subjects/{id}', `/subjects/${furnished.core}`)
      .replace('{protocol}', furnished.protocol.id)
      .replace(/\{\w+\}/g, '01999999-0000-7000-8000-000000000000');

  const queryOf = ({ parameters = [] }: Operation, but = ''): string[] =>
    parameters
      .filter((each) => each.in === 'query' && each.required && each.name !== but)
      .map(({ name, schema }) => `${name}=${encodeURIComponent(String(likely(name, schema)))}`);

  /** What is refused says what, where and what would be right, as a problem document; nothing else is at fault. */
  const judge = ({ status, headers, body }: Answer<Problem>, what: string): void => {
    if (status < 400) return;
    const told = /^application\/problem\+json/.test(headers.get('content-type') ?? '') && body.detail.length > 5;
    const placed = body.code !== 'invalid-input' || (body.problems ?? []).every(({ message }) => message.length > 5);
    const vague = ['bad-request', 'unexpected'].includes(body.code);
    if (status >= 500 || !told || !placed || vague) faults.push(`${what}: ${status} ${JSON.stringify(body)}`);
  };

  const send = async (method: string, path: string, body: unknown, what: string): Promise<void> =>
    judge(await everyone.send<Problem>(method, path, body), `${method} ${path} with ${what}`.slice(0, 300));

  it('fails over an odd value at any place of its body', async () => {
    faults = [];
    let sent = 0;
    for (const { name, method, path, operation } of operations()) {
      const schema = operation.requestBody?.content['application/json']?.schema;
      if (!schema || name === 'POST /api/session/password') continue;
      const address = [pathOf(path), queryOf(operation).join('&')].filter(Boolean).join('?');
      for (const place of placesIn(schema)) {
        const label = place.join('.');
        await Promise.all(
          ODD.map((odd) => send(method, address, withOdd(schema, place, odd), `${label} ${JSON.stringify(odd)}`)),
        );
        sent += ODD.length;
      }
    }
    expect(faults).toEqual([]);
    expect(sent).toBeGreaterThan(10_000);
  }, 1_800_000);

  it('fails over an odd value in its query or its path, or over one given twice', async () => {
    faults = [];
    for (const { method, path, operation } of operations()) {
      const body = method === 'GET' ? undefined : {};
      const names = (operation.parameters ?? []).filter((each) => each.in === 'query').map(({ name }) => name);
      const odd = names.flatMap((name) => [
        ...ODD_QUERY.map((value) => [...queryOf(operation, name), `${name}=${value}`]),
        [...queryOf(operation, name), `${name}=a`, `${name}=b`],
        [...queryOf(operation, name), `${name}[a]=b`],
      ]);
      const addresses = [
        ...[...odd, ['unheardOf=1', '__proto__=1']].map((query) => `${pathOf(path)}?${query.join('&')}`),
        ...(path.includes('{') ? ODD_PATH.map((value) => path.replace(/\{\w+\}/g, value)) : []),
        ...(path.includes('{') ? [path.replace(/\{\w+\}/g, 'x'.repeat(3000))] : []),
      ];
      for (const address of addresses) await send(method, address, body, 'that address');
    }
    expect(faults).toEqual([]);
  }, 900_000);

  it('judges a list or an object without end member by member', async () => {
    const told = async (body: unknown) =>
      (await everyone.post<Problem>('/api/lots', body)).body.problems?.map(({ at, message }) => [at, message]);
    const many = Array.from({ length: 5001 }, () => ({}));
    expect(await told({ containers: many })).toEqual([
      ['containers', 'has 5001 members; nothing here has more than 5000'],
    ]);
    expect(await told({ containers: many.slice(1) })).toContainEqual([
      'containers',
      expect.stringContaining('must have at most 200 in its list'),
    ]);
    const unknown = Object.fromEntries(Array.from({ length: 4000 }, (_, n) => [`key${n}`, 1]));
    expect(await told(unknown)).toHaveLength(100);
  });

  it('reads a number that is none as it was sent', async () => {
    const { body } = await everyone.get<Problem>('/api/lots?take=soon');
    expect(body.problems).toMatchObject([{ at: 'take', message: expect.stringContaining('found the text "soon"') }]);
  });
});
