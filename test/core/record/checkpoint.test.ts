import { createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import {
  believed,
  holdsSignature,
  keyId,
  pemOf,
  publicKeysIn,
  readCheckpoint,
  type SignedCheckpoint,
  signCheckpoint,
} from '../../../src/core/record/checkpoint.js';
import { canonicalText } from '../../../src/core/record/record.js';

interface Ed25519Case {
  name: string;
  secret: string;
  public: string;
  message: string;
  signature: string;
}

const vectors = <T>(name: string): T => JSON.parse(readFileSync(`test/vectors/${name}.json`, 'utf8')) as T;

/** RFC 8410 section 7 and 4: what stands before the bare key in DER. */
const PRIVATE = '302e020100300506032b657004220420';
const PUBLIC = '302a300506032b6570032100';
const privateOf = (secret: string): KeyObject =>
  createPrivateKey({ key: Buffer.from(PRIVATE + secret, 'hex'), format: 'der', type: 'pkcs8' });
const publicOf = (bytes: string): KeyObject =>
  createPublicKey({ key: Buffer.from(PUBLIC + bytes, 'hex'), format: 'der', type: 'spki' });

describe('Ed25519 as RFC 8032 section 7.1 has it', () => {
  const { cases } = vectors<{ cases: Ed25519Case[] }>('ed25519');

  it.each(cases)('$name: the public key', ({ secret, public: bytes }) => {
    const der = createPublicKey(privateOf(secret)).export({ type: 'spki', format: 'der' });
    expect(der.toString('hex')).toBe(PUBLIC + bytes);
  });

  // A statement is text; the message of TEST 3 is not, and the independent verifier's test checks that one.
  it.each(cases.slice(0, 2))('$name: the signature', ({ public: bytes, message, signature }) => {
    const statement = Buffer.from(message, 'hex').toString();
    const signed = { statement, signature: Buffer.from(signature, 'hex').toString('base64') };
    expect(holdsSignature(signed, publicOf(bytes))).toBe(true);
    expect(holdsSignature({ ...signed, statement: `${statement} ` }, publicOf(bytes))).toBe(false);
  });
});

describe('Canonical text as RFC 8785 has it', () => {
  const { texts, numbers } = vectors<{
    texts: { name: string; input: string; output: string }[];
    numbers: [string, string][];
  }>('rfc8785');

  it.each(texts)('of the text $name', ({ input, output }) => {
    expect(canonicalText(JSON.parse(input))).toBe(output);
  });

  it.each(numbers)('of the number with the bits %s, which is %s', (bits, text) => {
    expect(canonicalText(Buffer.from(bits, 'hex').readDoubleBE())).toBe(text);
  });
});

describe('A checkpoint', () => {
  const [one, two, other] = Array.from({ length: 3 }, () => generateKeyPairSync('ed25519')) as [Pair, Pair, Pair];
  const signed = (seq: number, key: Pair, next?: Pair, laboratory = 'outer-quill'): SignedCheckpoint =>
    signCheckpoint(
      { laboratory, seq, hash: String(seq).repeat(64).slice(0, 64), at: `2026-11-${10 + seq}T09:00:00.000Z` },
      key.privateKey,
      next?.publicKey,
    );
  const codes = (lines: SignedCheckpoint[], ...trusted: Pair[]): unknown[] =>
    believed(
      lines,
      trusted.map(({ publicKey }) => publicKey),
    ).faults.map(({ place, code }) => [place, code]);
  const seqs = (lines: SignedCheckpoint[], ...trusted: Pair[]): number[] =>
    believed(
      lines,
      trusted.map(({ publicKey }) => publicKey),
    ).checkpoints.map(({ seq }) => seq);

  it('says in RFC 8785 form what it covers and who signed', () => {
    const { secret } = vectors<{ cases: Ed25519Case[] }>('ed25519').cases[0]!;
    const { statement } = signCheckpoint(
      { laboratory: 'outer-quill', seq: 3, hash: 'ab'.repeat(32), at: '2026-11-25T09:00:00.000Z' },
      privateOf(secret),
    );
    // The key's id by hand: printf 302a300506032b6570032100d75a…511a | xxd -r -p | sha256sum
    expect(statement).toBe(
      `{"at":"2026-11-25T09:00:00.000Z","format":"stainwright-checkpoint/1","hash":"${'ab'.repeat(32)}",` +
        '"key":"06e3fd8fda29bb60","laboratory":"outer-quill","seq":3}',
    );
    expect(readCheckpoint(statement)).toMatchObject({ laboratory: 'outer-quill', seq: 3 });
  });

  it.each([
    ['no JSON', 'checkpoint'],
    ['nothing', 'null'],
    ['another format', '{"format":"other/1"}'],
    ['no canonical text', '{"seq":3, "format":"stainwright-checkpoint/1"}'],
    ['a next key that is none', signed(3, one, two).statement.replace('BEGIN PUBLIC', 'BEGIN OTHER')],
    ['a part missing', '{"format":"stainwright-checkpoint/1","seq":3}'],
    ['a number that is none', signed(3, one).statement.replace('"seq":3', '"seq":"3"')],
  ])('that is %s is not read', (_what, statement) => {
    expect(readCheckpoint(statement)).toBeNull();
    expect(codes([{ statement, signature: '' }], one)).toEqual([[1, 'unreadable']]);
  });

  it('is believed when a trusted key signed it, and once', () => {
    const lines = [signed(1, one), signed(2, one), signed(1, one)];
    expect(seqs(lines, one)).toEqual([1, 2]);
    expect(codes(lines, one)).toEqual([]);
    expect(codes(lines, two)).toEqual([
      [1, 'unknown-key'],
      [2, 'unknown-key'],
    ]);
  });

  it('is not believed when its statement, its signature or its signer is another', () => {
    const [good, later] = [signed(1, one), signed(2, one)];
    const changed = { ...good, statement: good.statement.replace('"seq":1', '"seq":2') };
    const borrowed = { ...good, signature: later.signature };
    const signedByOther = { ...good, signature: signed(1, other).signature };
    expect(codes([changed, borrowed, signedByOther, { ...good, signature: 'no' }], one)).toEqual(
      [1, 2, 3, 4].map((place) => [place, 'signature']),
    );
  });

  it('hands over to the next key, and the old one then signs no more for that laboratory', () => {
    const lines = [signed(1, one), signed(2, one, two), signed(3, two), signed(4, one), signed(5, one, undefined, 'b')];
    expect(seqs(lines, one)).toEqual([1, 2, 3, 5]);
    expect(codes(lines, one)).toEqual([[4, 'retired-key']]);
  });

  it('hands over to nobody when its own signature is not believed', () => {
    const lines = [signed(2, other, two), signed(3, two)];
    expect(codes(lines, one)).toEqual([
      [1, 'unknown-key'],
      [2, 'unknown-key'],
    ]);
  });

  it('takes its keys from PEM, several in one file, and Ed25519 alone', () => {
    const both = `for the reviewer\n${pemOf(one.publicKey)}\n${pemOf(two.publicKey)}`;
    expect(publicKeysIn(both).map(keyId)).toEqual([one, two].map(({ publicKey }) => keyId(publicKey)));
    const elliptic = generateKeyPairSync('ec', { namedCurve: 'P-256' }).publicKey;
    for (const pem of ['', 'no key', pemOf(elliptic)]) {
      expect(() => publicKeysIn(pem)).toThrow('an Ed25519 public key is needed, in PEM');
    }
  });
});

type Pair = { publicKey: KeyObject; privateKey: KeyObject };
