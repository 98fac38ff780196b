import { describe, expect, it } from '@jest/globals';
import { createHash } from 'node:crypto';
import canonicalize from 'canonicalize';
import { contentHash } from '../../../src/core/protocol/content.js';
import type { Protocol } from '../../../src/core/protocol/protocol.js';
import { shipped } from './sample.js';

function reversed(value: unknown): unknown {
  if (Array.isArray(value)) {
    return value.map(reversed);
  }
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(
      Object.entries(value)
        .reverse()
        .map(([key, inner]) => [key, reversed(inner)]),
    );
  }
  return value;
}

describe('the content hash', () => {
  // RFC 8785, section 3.2.2 and 3.2.3: the sample object and its canonical form.
  it('rests on canonical bytes as the RFC prints them', () => {
    const input: unknown = JSON.parse(
      String.raw`{
        "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
        "literals": [null, true, false]
      }`,
    );
    expect(canonicalize(input)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  it('is SHA-256 of them: 64 hexadecimal digits that another way of hashing gives too', () => {
    const protocol = shipped('ao-fresh');
    const sorted = (value: unknown): unknown =>
      Array.isArray(value)
        ? value.map(sorted)
        : typeof value === 'object' && value !== null
          ? Object.fromEntries(
              Object.entries(value)
                .sort(([a], [b]) => (a < b ? -1 : 1))
                .map(([k, v]) => [k, sorted(v)]),
            )
          : value;
    expect(contentHash(protocol)).toMatch(/^[0-9a-f]{64}$/);
    expect(contentHash(protocol)).toBe(
      createHash('sha256')
        .update(JSON.stringify(sorted(protocol)))
        .digest('hex'),
    );
  });

  it('does not depend on the order of keys and changes with any value', () => {
    const protocol = shipped('ihc-dab');
    expect(contentHash(reversed(protocol) as Protocol)).toBe(contentHash(protocol));
    protocol.steps[0]!.time.target += 1;
    expect(contentHash(protocol)).not.toBe(contentHash(shipped('ihc-dab')));
  });
});
