import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { entriesAfter } from '../../src/store/questions/entries.js';
import { LABORATORY, type Client } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';
import { until } from '../support/until.js';

interface Event {
  id: string;
  data: { seq: number; act: string; subject: { kind: string; id: string } };
}

/** An open event stream, read by the rules of WHATWG HTML section 9.2.6 as far as this server uses them. */
class Stream {
  readonly events: Event[] = [];
  lastId = '';
  ended = false;
  private readonly abort = new AbortController();

  static async open({ url, headers }: Client, lastEventId?: string): Promise<Stream> {
    const stream = new Stream();
    const answer = await fetch(`${url}/api/live`, {
      headers: { ...headers, ...(lastEventId === undefined ? {} : { 'last-event-id': lastEventId }) },
      signal: stream.abort.signal,
    });
    expect(answer.status).toBe(200);
    expect(answer.headers.get('content-type')).toMatch(/^text\/event-stream/);
    void stream.read(answer.body!.getReader());
    await stream.until(() => stream.lastId !== '');
    return stream;
  }

  close(): void {
    this.abort.abort();
  }

  until(done: () => boolean): Promise<void> {
    return until('the stream told it', done);
  }

  private async read(reader: ReadableStreamDefaultReader<Uint8Array>): Promise<void> {
    let text = '';
    const decoder = new TextDecoder();
    try {
      for (;;) {
        const { done, value } = await reader.read();
        if (done) break;
        text += decoder.decode(value, { stream: true });
        const blocks = text.split('\n\n');
        text = blocks.pop() ?? '';
        for (const block of blocks) this.take(block);
      }
    } catch {
      // The test closed it.
    }
    this.ended = true;
  }

  private take(block: string): void {
    const field = (name: string): string | undefined => new RegExp(`^${name}: ?(.*)$`, 'm').exec(block)?.[1];
    this.lastId = field('id') ?? this.lastId;
    const data = field('data');
    if (data !== undefined) this.events.push({ id: this.lastId, data: JSON.parse(data) as Event['data'] });
  }
}

describeOnEachDatabase('The live feed', (fresh) => {
  onProgram(fresh, { each: true });

  let page: Client;
  const streams: Stream[] = [];

  beforeEach(async () => {
    page = await test.as('technician');
  });

  afterEach(async () => {
    for (const stream of streams.splice(0)) stream.close();
  });

  const open = async (client = page, lastEventId?: string): Promise<Stream> => {
    const stream = await Stream.open(client, lastEventId);
    streams.push(stream);
    return stream;
  };
  const note = (n: number): Promise<void> =>
    test.store.change({ laboratoryId: LABORATORY, personId: null, deviceId: null }, 'test.noted', async (unit) =>
      unit.about('note', `n-${n}`),
    );
  const seqs = ({ events }: Stream): number[] => events.map(({ data }) => data.seq);

  it('tells what changed, with the record number as its id', async () => {
    const stream = await open();
    const before = Number(stream.lastId);
    await note(1);
    await stream.until(() => stream.events.length === 1);
    expect(stream.events).toEqual([
      { id: String(before + 1), data: { seq: before + 1, act: 'test.noted', subject: { kind: 'note', id: 'n-1' } } },
    ]);
  });

  it('misses nothing and doubles nothing when a page comes back in the middle of many acts', async () => {
    const from = Number((await open()).lastId);
    const total = 1300;
    const acts = Promise.all(Array.from({ length: total }, (_, n) => note(n)));
    const early = await open(page, String(from));
    await acts;
    const late = await open(page, String(from));
    const lastOnes = Promise.all([note(total), note(total + 1)]);
    const expected = Array.from({ length: total + 2 }, (_, n) => from + n + 1);
    for (const stream of [early, late]) {
      await stream.until(() => stream.events.length >= expected.length);
      expect(seqs(stream)).toEqual(expected);
    }
    await lastOnes;
  });

  it('begins at the end of the record for a page that was never here', async () => {
    const last = await test.store.read(LABORATORY, (view) => entriesAfter(view, 0, 1000));
    const stream = await open();
    expect(Number(stream.lastId)).toBe(last.at(-1)?.seq);
    expect(stream.events).toEqual([]);
  });

  it('resumes from the end when the page knows numbers that are not there', async () => {
    const stream = await open(page, '999999');
    await note(1);
    await stream.until(() => stream.events.length === 1);
  });

  it('tells of a notice, which has no record number, and not of other housekeeping', async () => {
    const stream = await open();
    const before = stream.lastId;
    test.store.feed.emit('changed', {
      laboratoryId: LABORATORY,
      seq: Number(before),
      act: 'housekeeping',
      subject: { kind: 'laboratory', id: LABORATORY },
      jobs: true,
    });
    test.store.feed.emit('changed', {
      laboratoryId: LABORATORY,
      seq: Number(before),
      act: 'housekeeping',
      subject: { kind: 'notice', id: 'n-1' },
      jobs: false,
    });
    await note(1);
    await stream.until(() => stream.events.length === 2);
    expect(stream.events.map(({ id, data }) => [id, data.subject.kind])).toEqual([
      [before, 'notice'],
      [String(Number(before) + 1), 'note'],
    ]);
  });

  it('ends when the person signs out or is disabled, and goes on for the others', async () => {
    const id = await test.createPerson('leaver', ['technician']);
    const [leaving, left] = [await test.signIn('leaver'), await test.signIn('leaver')];
    const administrator = await test.as('administrator');
    const [one, two, other] = [await open(leaving), await open(left), await open()];
    await leaving.delete('/api/session');
    await one.until(() => one.ended);
    expect([two.ended, other.ended]).toEqual([false, false]);
    await administrator.patch(`/api/people/${id}`, { disabled: true });
    await two.until(() => two.ended);
    expect(other.ended).toBe(false);
  });

  it('ends with the program, which does not wait for pages to leave', async () => {
    const stream = await open();
    await test.app.close();
    await stream.until(() => stream.ended);
  });

  it('refuses a number that is none', async () => {
    const answer = await page.get('/api/live', { headers: { 'last-event-id': 'seven' } });
    expect(answer).toMatchObject({ status: 422, body: { code: 'bad-event-id' } });
  });
});
