import type { INestApplication } from '@nestjs/common';
import { DocumentBuilder, type OpenAPIObject, SwaggerModule } from '@nestjs/swagger';
import { SESSION_COOKIE } from './sessions.js';

type Parameter = NonNullable<NonNullable<OpenAPIObject['paths'][string]['get']>['parameters']>[number];

const PROBLEM = {
  type: 'object',
  description: 'Why a request was not carried out (RFC 9457).',
  required: ['type', 'title', 'status', 'detail', 'code', 'requestId'],
  properties: {
    type: { type: 'string', description: 'Reference of the kind of problem.' },
    title: { type: 'string' },
    status: { type: 'integer' },
    detail: { type: 'string', description: 'What was wrong and what would be right, in words.' },
    code: { type: 'string', description: 'Stable, for programs.' },
    problems: {
      type: 'array',
      items: {
        type: 'object',
        required: ['at', 'message'],
        properties: {
          at: { type: 'string', description: 'Path of the property, such as steps.2.time.max.' },
          message: { type: 'string' },
        },
      },
    },
    requestId: { type: 'string', description: 'By which the log finds the request.' },
  },
};

/** The document of every route, made from the controllers and contract classes themselves. */
export function openApiDocument(app: INestApplication): OpenAPIObject {
  const config = new DocumentBuilder()
    .setTitle('Stainwright')
    .setDescription('Protocols, bench runs, lots, controls, the release gate and the record of a staining laboratory.')
    .setVersion('1')
    .addCookieAuth(SESSION_COOKIE)
    .addBearerAuth({ type: 'http', scheme: 'bearer', description: 'Token of a device.' })
    .build();
  const document = SwaggerModule.createDocument(app, config);
  document.components = {
    ...document.components,
    schemas: { ...document.components?.schemas, Problem: PROBLEM },
  };
  const problem = { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } };
  for (const path of Object.values(document.paths)) {
    for (const method of ['get', 'post', 'put', 'patch', 'delete'] as const) {
      const operation = path[method];
      if (!operation) continue;
      operation.responses['default'] = { description: 'Why it was not done.', content: problem };
      for (const parameter of operation.parameters ?? []) leaveOut(parameter);
    }
  }
  return document;
}

/** What has a default may be left out, whatever its class says of the value that is then there. */
function leaveOut(parameter: Parameter): void {
  if ('schema' in parameter && parameter.schema && 'default' in parameter.schema) parameter.required = false;
}

/** Serves the document at /api/openapi.json; it is made when first asked for. */
export function serveOpenApi(app: INestApplication): void {
  SwaggerModule.setup('api', app, () => openApiDocument(app), {
    ui: false,
    raw: ['json'],
    jsonDocumentUrl: '/api/openapi.json',
  });
}
