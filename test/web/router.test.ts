import { describe, expect, it } from '@jest/globals';
import { match } from '../../src/web/app/match.js';

describe('address patterns', () => {
  it.each([
    ['/', '/', {}],
    ['/room/:station', '/room/Ultrasound%201', { station: 'Ultrasound 1' }],
    ['/room/:station', '/room/Ultrasound%201/', { station: 'Ultrasound 1' }],
    ['/lots/:id/containers/:container', '/lots/a/containers/b', { id: 'a', container: 'b' }],
    ['/room/:station', '/room', null],
    ['/room/:station', '/room/a/b', null],
    ['/', '/runs', null],
    ['/room/:station', '/room/%', null],
  ])('%s on %s finds %j', (pattern, path, found) => {
    expect(match(pattern, path)).toEqual(found);
  });
});
