/** Longer than anything here takes on a busy machine; who waits so long waits for what will not come. */
export const PATIENCE_MS = 120_000;

export function passing(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

/** Waits for what must come true, and fails by naming it. */
export async function until(what: string, true_: () => boolean | Promise<boolean>): Promise<void> {
  for (const end = Date.now() + PATIENCE_MS; ; await passing(20)) {
    if (await true_()) return;
    if (Date.now() >= end) throw new Error(`waited ${PATIENCE_MS / 1000} s, and still not true: ${what}`);
  }
}
