import { expect, it } from '@jest/globals';
import { pinFault } from '../../../src/core/people/pin.js';

it.each([
  ['280613', true],
  ['90817263', true],
  ['12345', false],
  ['123456789', false],
  ['12345a', false],
  ['111111', false],
  ['123456', false],
  ['987654', false],
  ['890123', false],
])('takes %s for a PIN: %s', (pin, good) => {
  expect(pinFault(pin) === null).toBe(good);
});
