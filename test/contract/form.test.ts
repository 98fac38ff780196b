import { expect, it } from '@jest/globals';
import { formProblems } from '../../src/contract/form.js';
import { ProtocolDto } from '../../src/contract/protocol.dto.js';

/** What is said of one key of a protocol file. */
function said(key: keyof ProtocolDto, value: unknown): string | undefined {
  return formProblems(ProtocolDto, { [key]: value }).find(({ path }) => path.length === 1 && path[0] === key)?.message;
}

it('tells what is empty as empty, and sizes in the words of people', () => {
  expect(said('title', '')).toBe('title is empty; fill it in');
  expect(said('id', '')).toBe('id is empty; id must be lower-case words joined by hyphens, such as rinse-blood');
  expect(said('releasePoints', [])).toBe('releasePoints is empty; add at least one');
  expect(said('title', 'x'.repeat(900))).toMatch(/^title must have at most \d+ characters; found the text "x+…"$/);
  expect(said('title', undefined)).toMatch(/^"title" is missing; /);
});
