/** Why a command was not carried out; the HTTP filter gives each kind its status. */
export type RefusalKind =
  'invalid' | 'unauthenticated' | 'forbidden' | 'not-found' | 'conflict' | 'held' | 'too-many' | 'unavailable';

/** One thing wrong in the input: where, what, and what would be right. */
export interface Problem {
  /** Property path such as 'steps.2.time.max', or '' for the whole. */
  at: string;
  message: string;
}

/**
 * A command that must not happen. `code` is stable for programs, `message` says to a person what was wrong and what
 * would be right. An unwelcome bench outcome is not a refusal but a finding.
 */
export class Refusal extends Error {
  constructor(
    readonly kind: RefusalKind,
    readonly code: string,
    message: string,
    readonly problems: Problem[] = [],
    /** Facts for the caller, such as the findings that hold a release. */
    readonly extra: Record<string, unknown> = {},
  ) {
    super(message);
    this.name = 'Refusal';
  }
}
