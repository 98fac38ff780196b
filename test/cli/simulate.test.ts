import { describe, expect, it } from '@jest/globals';
import { stainwright } from './stainwright.js';

const share = (out: string, name: string): number => Number(new RegExp(`^${name} +([\\d.]+) %$`, 'm').exec(out)?.[1]);

describe('stainwright stock simulate', () => {
  it.each([
    ['0.9', '0'],
    ['0.95', '0'],
    ['0.95', '2'],
  ])(
    'keeps the service level %s within two points on stationary demand, the lead time varying by %s days',
    async (level, sd) => {
      const args = ['--years', '200', '--service-level', level, '--lead-sd-days', sd, '--seed', '7'];
      const { code, out } = await stainwright(['stock', 'simulate', ...args]);
      expect(code).toBe(0);
      expect(Math.abs(share(out, 'orders that came in time') - Number(level) * 100)).toBeLessThan(2);
      expect(share(out, 'share of demand met')).toBeGreaterThan(Number(level) * 100);
      expect(out).toMatch(/^waste +0\.00$/m);
      expect((await stainwright(['stock', 'simulate', ...args])).out).toBe(out);
    },
  );

  it('tells waste, and what was wrong', async () => {
    const { out } = await stainwright(['stock', 'simulate', '--shelf-life-days', '5', '--minimum-order', '500']);
    expect(Number(/^waste +([\d.]+)$/m.exec(out)?.[1])).toBeGreaterThan(100);
    const wrong = await stainwright(['stock', 'simulate', '--sd=-1']);
    expect([wrong.code, wrong.err]).toEqual([1, 'sd is "-1"; give a number of at least 0\n']);
    expect((await stainwright(['stock', 'simulate', '--years', 'many'])).err).toContain('years');
    expect((await stainwright(['stock', 'simulate', '--service-level', '1'])).err).toContain('serviceLevel');
  });
});
