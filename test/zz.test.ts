import { expect, it } from '@jest/globals';
it('fails', () => { expect(1).toBe(1); });
it.skip('sk', () => {});
