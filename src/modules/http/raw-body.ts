import type { Readable } from 'node:stream';
import {
  applyDecorators,
  createParamDecorator,
  type ExecutionContext,
  UnsupportedMediaTypeException,
} from '@nestjs/common';
import { RouteConfig } from '@nestjs/platform-fastify';
import { ApiBody, ApiConsumes } from '@nestjs/swagger';
import type { FastifyInstance, FastifyRequest } from 'fastify';

/** Bodies that are no JSON; a route says which of them it takes. */
const RAW_TYPES = [
  'application/octet-stream',
  'application/pdf',
  'image/png',
  'image/jpeg',
  'image/tiff',
  'text/csv',
  'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
] as const;
export type RawType = (typeof RAW_TYPES)[number];

interface RawConfig {
  rawTypes?: readonly RawType[];
}

/** The route takes a body of these media types as it comes; its handler gets it with `@RawBody()`. */
export const TakesRaw = (...types: [RawType, ...RawType[]]): MethodDecorator =>
  applyDecorators(
    RouteConfig({ rawTypes: types } satisfies RawConfig),
    ApiConsumes(...types),
    ApiBody({ required: true, schema: { type: 'string', format: 'binary' } }),
  );

/** The media types that a request's route takes beside JSON. */
export function rawTypesOf(request: FastifyRequest): readonly RawType[] {
  return (request.routeOptions.config as RawConfig).rawTypes ?? [];
}

/**
 * The body of a route that `TakesRaw`, not read yet and of no checked length: whoever reads it sets the limit. Refuses JSON, which
 * was parsed before the route was asked.
 */
export const RawBody = createParamDecorator((_: unknown, context: ExecutionContext): Readable => {
  const { body } = context.switchToHttp().getRequest<FastifyRequest>();
  if (body !== null && typeof body === 'object' && Symbol.asyncIterator in body) return body as Readable;
  throw new UnsupportedMediaTypeException();
});

/** Lets raw bodies through to the routes that take them and to no other. */
export function acceptRawBodies(fastify: FastifyInstance): void {
  fastify.addContentTypeParser([...RAW_TYPES], (request, body, done) => {
    const type = request.headers['content-type']?.split(';', 1)[0]?.trim().toLowerCase();
    if (rawTypesOf(request).some((taken) => taken === type)) done(null, body);
    else done(new UnsupportedMediaTypeException());
  });
}
