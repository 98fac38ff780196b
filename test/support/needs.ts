import { describe, it } from '@jest/globals';

const services = {
  redis: { title: 'Redis', address: 'TEST_REDIS_URL', missing: 'TEST_REDIS_MISSING' },
  postgres: { title: 'PostgreSQL', address: 'TEST_POSTGRES_URL', missing: 'TEST_POSTGRES_MISSING' },
  xmllint: { title: 'xmllint', address: 'XMLLINT_PATH', missing: 'XMLLINT_MISSING' },
  pdftotext: { title: 'pdftotext', address: 'PDFTOTEXT_PATH', missing: 'PDFTOTEXT_MISSING' },
  chromium: { title: 'Chromium', address: 'CHROMIUM_PATH', missing: 'CHROMIUM_MISSING' },
} as const;

export type Service = keyof typeof services;

/**
 * Describes tests that need a running service and hands them its address; without one, a single skipped test says why
 * (and fails the run under CI).
 */
export function describeWith(service: Service, name: string, tests: (address: string) => void): void {
  const { title, address, missing } = services[service];
  const given = process.env[address];
  if (given) {
    describe(name, () => tests(given));
    return;
  }
  const why = process.env[missing] ?? `${address} is not set; npm test starts ${title} and sets it`;
  describe(name, () => {
    it.skip(`needs ${title}: ${why}`, () => undefined);
  });
}
