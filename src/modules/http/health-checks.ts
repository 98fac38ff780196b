import { Injectable } from '@nestjs/common';

/** What must answer before the program is ready; each part that depends on a service adds its own check. */
@Injectable()
export class HealthChecks {
  private readonly checks = new Map<string, () => Promise<unknown>>();

  /** `check` rejects while the service does not answer. */
  add(name: string, check: () => Promise<unknown>): void {
    this.checks.set(name, check);
  }

  /** How each stands; a check that takes longer than `withinMs` does not answer. */
  async ask(withinMs: number): Promise<Record<string, 'ok' | 'no answer'>> {
    const asked = [...this.checks].map(async ([name, check]) => [name, await answers(check, withinMs)] as const);
    return Object.fromEntries(await Promise.all(asked));
  }
}

async function answers(check: () => Promise<unknown>, withinMs: number): Promise<'ok' | 'no answer'> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error('late')), withinMs);
  });
  try {
    await Promise.race([check(), late]);
    return 'ok';
  } catch {
    return 'no answer';
  } finally {
    clearTimeout(timer);
  }
}
