import type { LoggerService } from '@nestjs/common';
import { type DestinationStream, type Logger, pino } from 'pino';
import type { LogLevel } from '../../config.js';

/** The path alone: what stands after the question mark may name a patient. */
export function pathOf(url: string): string {
  return url.split('?', 1)[0] ?? url;
}

/** Who knows the address of a calendar reads it. */
const CALENDAR = /\/api\/calendar\/.*/;

/** One JSON line per entry. Bodies, query strings and the values of database errors never reach it. */
export function openLog(level: LogLevel, destination?: DestinationStream): Logger {
  const options = {
    level,
    base: undefined,
    timestamp: pino.stdTimeFunctions.isoTime,
    serializers: {
      req: (request: { method: string; url: string }) => ({
        method: request.method,
        path: pathOf(request.url).replace(CALENDAR, '/api/calendar/…'),
      }),
      res: (reply: { statusCode: number }) => ({ status: reply.statusCode }),
      err: (error: unknown) => errorFacts(error),
    },
  };
  return destination ? pino(options, destination) : pino(options);
}

/** Only these: other properties of an error may carry what a statement was given. */
function errorFacts(error: unknown): Record<string, unknown> {
  if (!(error instanceof Error)) return { message: String(error) };
  const code = (error as { code?: unknown }).code;
  return { type: error.name, ...(code === undefined ? {} : { code }), message: error.message, stack: error.stack };
}

/** Lets the framework's own words go to the same log. */
export class FrameworkLog implements LoggerService {
  constructor(private readonly to: Logger) {}

  log(message: unknown, ...rest: unknown[]): void {
    this.write('debug', message, rest);
  }

  error(message: unknown, ...rest: unknown[]): void {
    this.write('error', message, rest);
  }

  warn(message: unknown, ...rest: unknown[]): void {
    this.write('warn', message, rest);
  }

  debug(message: unknown, ...rest: unknown[]): void {
    this.write('debug', message, rest);
  }

  verbose(message: unknown, ...rest: unknown[]): void {
    this.write('trace', message, rest);
  }

  fatal(message: unknown, ...rest: unknown[]): void {
    this.write('fatal', message, rest);
  }

  /** The framework passes its context last. */
  private write(level: Exclude<LogLevel, 'silent'>, message: unknown, rest: unknown[]): void {
    const context = rest.at(-1);
    const facts = typeof context === 'string' ? { context } : {};
    if (message instanceof Error) this.to[level]({ ...facts, err: message }, message.message);
    else this.to[level](facts, String(message));
  }
}
