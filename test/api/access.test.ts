import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { Body, Controller, Get, Post } from '@nestjs/common';
import { ModulesContainer } from '@nestjs/core';
import { FastifyAdapter, type NestFastifyApplication } from '@nestjs/platform-fastify';
import type { OpenAPIObject } from '@nestjs/swagger';
import { Test } from '@nestjs/testing';
import { AppModule } from '../../src/app.module.js';
import { HandClock } from '../../src/clock.js';
import { ROLES } from '../../src/core/people/roles.js';
import { ACCESS, Public } from '../../src/modules/http/access.js';
import { Client, configFor, startApp, type TestApp } from '../support/app.js';
import { freshSqlite, type FreshDatabase } from '../support/databases.js';

const METHODS = ['get', 'post', 'put', 'patch', 'delete'] as const;

/** Deliberate: whoever adds one here says that everyone may ask it. */
const OPEN_TO_EVERYONE = [
  // For calendar programs, which cannot sign in: the address holds a person's own token.
  'GET /api/calendar/{file}',
  'GET /api/time',
  'GET /health/live',
  'GET /health/ready',
  'POST /api/session',
  'POST /api/setup',
];

interface Route {
  name: string;
  method: string;
  path: string;
  takesBody: boolean;
  open: boolean;
}

/** The routes as the document tells them, with a made-up id for each parameter. */
function routesOf(document: OpenAPIObject): Route[] {
  return Object.entries(document.paths).flatMap(([path, item]) =>
    METHODS.flatMap((method) => {
      const operation = item[method];
      if (!operation) return [];
      return [
        {
          name: `${method.toUpperCase()} ${path}`,
          method: method.toUpperCase(),
          path: path.replace(/\{\w+\}/g, 'made-up'),
          // A body that is a file has no keys.
          takesBody: operation.requestBody !== undefined && 'application/json' in contentOf(operation.requestBody),
          open: operation.security === undefined,
        },
      ];
    }),
  );
}

function contentOf(body: object): object {
  return 'content' in body ? (body.content as object) : {};
}

describe('Every route', () => {
  let database: FreshDatabase;
  let test: TestApp;
  let routes: Route[];
  let everyone: Client;

  beforeAll(async () => {
    database = await freshSqlite();
    test = await startApp(database);
    routes = routesOf((await test.nobody.get<OpenAPIObject>('/api/openapi.json')).body);
    everyone = await test.as(...(ROLES.filter((role) => role !== 'reviewer') as ['technician']));
  });

  afterAll(async () => {
    await test.stop();
    await database.drop();
  });

  it('says for whom it is, in code', () => {
    const silent = [...test.app.get(ModulesContainer).values()]
      .flatMap(({ controllers }) => [...controllers.values()])
      .flatMap(({ metatype }) => {
        const { prototype, name } = metatype as { prototype: object; name: string };
        return Object.getOwnPropertyNames(prototype)
          .map((key) => [`${name}.${key}`, (prototype as Record<string, unknown>)[key]] as const)
          .filter(([, handler]) => typeof handler === 'function' && Reflect.hasMetadata('method', handler));
      })
      .filter(([, handler]) => !Reflect.hasMetadata(ACCESS, handler as object))
      .map(([name]) => name);
    expect(silent).toEqual([]);
  });

  it('is open to everyone only when the list here says so', () => {
    expect(routes.length).toBeGreaterThan(10);
    expect(
      routes
        .filter(({ open }) => open)
        .map(({ name }) => name)
        .sort(),
    ).toEqual(OPEN_TO_EVERYONE);
  });

  it('answers nobody who is not signed in, whatever is sent', async () => {
    for (const { name, method, path, open } of routes) {
      if (open) continue;
      const { status, body } = await test.nobody.send<{ code: string }>(
        method,
        path,
        method === 'GET' ? undefined : {},
      );
      expect([name, status, body.code]).toEqual([name, 401, 'sign-in-needed']);
    }
  });

  it('that takes a body validates it: an unknown key is refused by name', async () => {
    const taking = routes.filter(({ takesBody }) => takesBody);
    expect(taking.length).toBeGreaterThan(5);
    for (const { name, method, path } of taking) {
      const { status, body } = await everyone.send<{ code: string; problems?: { at: string }[] }>(method, path, {
        surelyNoSuchKey: 1,
      });
      expect([name, status, body.code]).toEqual([name, 422, 'invalid-input']);
      expect([name, body.problems?.map(({ at }) => at)]).toEqual([name, expect.arrayContaining(['surelyNoSuchKey'])]);
    }
  });

  it('that changes something refuses a cookie without its CSRF token, or with another’s', async () => {
    const { cookie } = everyone.headers as { cookie: string };
    const another = (await test.signIn('technician-1')).headers['x-csrf-token'] as string;
    for (const headers of [{ cookie }, { cookie, 'x-csrf-token': another }, { cookie, 'x-csrf-token': '' }]) {
      const client = new Client(test.url, headers as Record<string, string>);
      for (const { name, method, path, open } of routes) {
        if (method === 'GET' || open) continue;
        const { status, body } = await client.send<{ code: string }>(method, path, {});
        expect([name, status, body.code]).toEqual([name, 403, 'csrf-token-needed']);
      }
    }
  });

  it('that changes something refuses a page of another site', async () => {
    const foreign: Record<string, string>[] = [
      { 'sec-fetch-site': 'cross-site' },
      { origin: 'https://elsewhere.example' },
    ];
    for (const headers of foreign) {
      const { status, body } = await test.nobody.post<{ code: string }>(
        '/api/session',
        { login: 'a', password: 'b' },
        { headers },
      );
      expect([status, body.code]).toEqual([403, 'other-site']);
    }
  });

  it('that changes something refuses a reviewer, but for the own session', async () => {
    const reviewer = await test.as('reviewer');
    // A pack is a copy: asking for one changes no record, and their own test holds what it may be asked for.
    const packs = ['POST /api/packs', 'POST /api/packs/{id}/again', 'DELETE /api/packs/{id}'];
    const own = ['DELETE /api/session', 'POST /api/session/password', ...packs];
    for (const { name, method, path, open } of routes) {
      if (method === 'GET' || open || own.includes(name)) continue;
      const { status, body } = await reviewer.send<{ code: string }>(method, path, {});
      expect([name, status]).toEqual([name, 403]);
      expect(['role-needed', 'reviewers-only-read']).toContain(body.code);
    }
    expect((await reviewer.delete('/api/session')).status).toBe(204);
  });

  it('with roles refuses the others', async () => {
    const technician = await test.as('technician');
    expect(await technician.get('/api/devices')).toMatchObject({ status: 403, body: { code: 'role-needed' } });
    expect((await everyone.get('/api/devices')).status).toBe(200);
  });
});

@Controller('forgotten')
class ForgottenController {
  @Get()
  nobodySaidForWhom(): string {
    return 'secret';
  }

  @Public()
  @Post()
  nobodySaidWhat(@Body() body: { anything?: string }): unknown {
    return body;
  }
}

describe('A forgotten decorator', () => {
  let database: FreshDatabase;
  let app: NestFastifyApplication;
  let nobody: Client;

  beforeAll(async () => {
    database = await freshSqlite();
    const imports = [AppModule.forRoot(configFor(database), new HandClock(0))];
    const module = await Test.createTestingModule({ imports, controllers: [ForgottenController] }).compile();
    app = module.createNestApplication<NestFastifyApplication>(new FastifyAdapter(), { logger: false });
    await app.listen(0, '127.0.0.1');
    nobody = new Client(await app.getUrl());
  });

  afterAll(async () => {
    await app.close();
    await database.drop();
  });

  it('of access lets nobody in', async () => {
    expect(await nobody.get('/forgotten')).toMatchObject({ status: 403, body: { code: 'no-access-rule' } });
  });

  it('of form, or a contract imported as a type, lets nothing in', async () => {
    const answer = await nobody.post('/forgotten', { anything: 'x' });
    expect(answer).toMatchObject({ status: 500, body: { code: 'unexpected' } });
  });
});
