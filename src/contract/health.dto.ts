export class AliveDto {
  status: 'alive';
}

export class ReadyDto {
  status: 'ready';

  /** How each service that the program depends on stands. */
  checks: Record<string, 'ok' | 'no answer'>;
}
