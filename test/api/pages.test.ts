import { describe, expect, it } from '@jest/globals';
import { freshSqlite } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

describe('The built pages', () => {
  onProgram(freshSqlite);

  it('are one page at every address that a person may open, always asked for anew', async () => {
    for (const path of ['/', '/bench/ultrasound-1', '/setup']) {
      const { status, headers, body } = await test.nobody.get<string>(path);
      expect([path, status, headers.get('content-type')]).toEqual([path, 200, expect.stringMatching(/^text\/html/)]);
      expect(headers.get('cache-control')).toBe('public, max-age=0');
      expect(body).toContain('<div id="root">');
    }
  });

  it('run only scripts of their own and stand in no frame', async () => {
    const { headers } = await test.nobody.get('/');
    const policy = headers.get('content-security-policy') ?? '';
    expect(policy).toContain("script-src 'self' 'wasm-unsafe-eval';");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toContain('upgrade-insecure-requests');
    expect(headers.get('x-content-type-options')).toBe('nosniff');
  });

  it('load files that are kept for good and travel compressed', async () => {
    const { body: page } = await test.nobody.get<string>('/');
    const script = /src="(\/assets\/[^"]+\.js)"/.exec(page)?.[1] ?? '';
    const { status, headers } = await test.nobody.get<string>(script, { headers: { 'accept-encoding': 'br' } });
    expect(status).toBe(200);
    expect(headers.get('content-type')).toMatch(/javascript/);
    expect(headers.get('cache-control')).toBe('public, max-age=31536000, immutable');
    expect(headers.get('content-encoding')).toBe('br');
  });

  it('do not stand for a file that is not there, nor for one outside of their folder', async () => {
    for (const path of ['/assets/none.js', '/favicon.ico.none', '/..%2f..%2fpackage.json', '/.vite/manifest.json']) {
      const { status, body } = await test.nobody.get<{ code: string }>(path);
      expect([path, status, body.code]).toEqual([path, 404, 'no-such-address']);
    }
  });
});
