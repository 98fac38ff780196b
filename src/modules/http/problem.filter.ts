import { STATUS_CODES } from 'node:http';
import { type ArgumentsHost, Catch, type ExceptionFilter, HttpException } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { type Problem, Refusal, type RefusalKind } from '../../core/refusal.js';
import { FileTooLarge } from '../../store/files/folder.js';
import { pathOf } from './logging.js';
import { rawTypesOf } from './raw-body.js';

const STATUS: Record<RefusalKind, number> = {
  invalid: 422,
  unauthenticated: 401,
  forbidden: 403,
  'not-found': 404,
  conflict: 409,
  held: 409,
  'too-many': 429,
  unavailable: 503,
};

interface Told {
  status: number;
  code: string;
  detail: string;
  problems?: Problem[];
  extra?: Record<string, unknown>;
}

/** Answers whatever went wrong as a problem document (RFC 9457); what was not foreseen is logged and not shown. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  catch(error: unknown, host: ArgumentsHost): void {
    const http = host.switchToHttp();
    answerProblem(error, http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
  }
}

/** The same for what fails before the framework is asked, such as an address that cannot be read. */
export function answerProblem(error: unknown, request: FastifyRequest, reply: FastifyReply): void {
  const { status, code, detail, problems, extra = {} } = tell(error, request);
  if (status === 500) request.log.error({ err: error }, 'unexpected error');
  if (reply.sent) return;
  if (status === 401) reply.header('www-authenticate', 'Bearer');
  if (typeof extra['retryAfterSeconds'] === 'number') reply.header('retry-after', extra['retryAfterSeconds']);
  const body = {
    ...extra,
    type: `/problems/${code}`,
    title: STATUS_CODES[status] ?? 'Error',
    status,
    detail,
    code,
    ...(problems && problems.length > 0 ? { problems } : {}),
    requestId: request.id,
  };
  void reply
    .status(status)
    .header('content-type', 'application/problem+json; charset=utf-8')
    .header('cache-control', 'no-store')
    .header('x-request-id', request.id)
    .send(JSON.stringify(body));
}

function tell(error: unknown, request: FastifyRequest): Told {
  if (error instanceof Refusal) {
    const { kind, code, message, problems, extra } = error;
    return { status: STATUS[kind], code, detail: message, problems, extra };
  }
  if (error instanceof FileTooLarge) {
    return { status: 413, code: 'file-too-large', detail: `${error.message} Send a smaller one.` };
  }
  const status = statusOf(error);
  switch (status) {
    case 400:
      return malformed(error);
    case 403:
      return { status, code: 'other-site', detail: 'A page of another site may change nothing here; open this one.' };
    case 404:
      return { status, code: 'no-such-address', detail: `There is no ${request.method} ${shortPath(request)} here.` };
    case 414:
      return {
        status,
        code: 'address-too-long',
        detail: `A part of ${shortPath(request)} is longer than any id here.`,
      };
    case 413:
      return {
        status,
        code: 'body-too-large',
        detail: `The body has more than ${request.server.initialConfig.bodyLimit} bytes; send it in smaller parts.`,
      };
    case 415:
      return {
        status,
        code: 'media-type',
        detail: wantedType(rawTypesOf(request)),
      };
    default:
      break;
  }
  if (status >= 400 && status < 500) {
    return {
      status,
      code: 'bad-request',
      detail: `The request was refused: ${STATUS_CODES[status] ?? 'bad request'}.`,
    };
  }
  return {
    status: 500,
    code: 'unexpected',
    detail: 'Something unexpected went wrong here; try again, and if it stays, tell your administrator the request id.',
  };
}

const SHOWN = 200;

/** The path as far as somebody reads it; one that was made up may be as long as a header. */
function shortPath({ url }: FastifyRequest): string {
  const path = pathOf(url);
  return path.length > SHOWN ? `${path.slice(0, SHOWN)}…` : path;
}

function wantedType(raw: readonly string[]): string {
  return raw.length === 0
    ? 'The body must be JSON, with the header Content-Type: application/json.'
    : `The body must be the file itself, with the header Content-Type: ${raw.join(' or ')}.`;
}

function malformed(error: unknown): Told {
  const status = 400;
  const cause = error instanceof HttpException ? error.cause : error;
  switch ((cause as { code?: unknown } | undefined)?.code) {
    case 'FST_ERR_BAD_URL':
      return {
        status,
        code: 'malformed-address',
        detail: 'The address is not a valid one: a % in it begins no character.',
      };
    case 'FST_ERR_CTP_EMPTY_JSON_BODY':
      return { status, code: 'malformed-json', detail: 'The body is empty, but Content-Type says that it is JSON.' };
    case 'FST_ERR_CTP_INVALID_CONTENT_LENGTH':
      return { status, code: 'malformed-body', detail: 'The body does not have the length that Content-Length says.' };
    default:
      return {
        status,
        code: 'malformed-json',
        detail: 'The body is not JSON (RFC 8259); check quotes, commas and braces.',
      };
  }
}

function statusOf(error: unknown): number {
  if (error instanceof HttpException) return error.getStatus();
  const status = (error as { statusCode?: unknown } | null | undefined)?.statusCode;
  return typeof status === 'number' ? status : 500;
}
