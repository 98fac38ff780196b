import { PassThrough } from 'node:stream';
import type { Changed } from '../../store/changed.js';
import { entriesAfter } from '../../store/questions/entries.js';
import type { Store } from '../../store/store.js';

/** A page that is slower than this many bytes is cut off; it comes back by its last event's number. */
const SLOWEST_BYTES = 1024 * 1024;
const PAGE = 500;

type Told = Pick<Changed, 'seq' | 'act' | 'subject'>;

/**
 * One page's stream of changes, in the order of the record and without a gap: what the feed says goes out at once when it
 * is the next number, and whatever was missed is read from the record first.
 */
export class Subscription {
  /** The event stream as it goes over the wire (WHATWG HTML, server-sent events). */
  readonly out = new PassThrough();
  private reading = true;
  private missed = false;
  private last = 0;
  private readonly hear = (changed: Changed): void => this.take(changed);
  private readonly hearMissed = (): void => this.lookBack();

  constructor(
    private readonly store: Store,
    private readonly laboratoryId: string,
    private readonly onError: (error: unknown) => void,
  ) {
    store.feed.on('changed', this.hear);
    store.feed.on('missed', this.hearMissed);
    this.out.once('close', () => {
      store.feed.off('changed', this.hear);
      store.feed.off('missed', this.hearMissed);
    });
  }

  /** Sends what the record holds after `seq`, then what comes. */
  async start(seq: number): Promise<void> {
    this.last = seq;
    // The number alone is no event, but the page resumes from it.
    this.write(`retry: 2000\nid: ${seq}\n\n`);
    await this.catchUp();
  }

  beat(): void {
    this.write(': still here\n\n');
  }

  end(): void {
    this.out.end();
  }

  private take(changed: Changed): void {
    if (changed.laboratoryId !== this.laboratoryId) return;
    if (changed.act === 'housekeeping') this.sendUnnumbered(changed);
    else if (!this.reading && changed.seq === this.last + 1) this.send(changed);
    else if (changed.seq > this.last) this.lookBack();
  }

  private lookBack(): void {
    if (this.reading) this.missed = true;
    else this.catchUp().catch(this.onError);
  }

  private async catchUp(): Promise<void> {
    this.reading = true;
    do {
      this.missed = false;
      const entries = await this.store.read(this.laboratoryId, (view) => entriesAfter(view, this.last, PAGE));
      for (const { seq, act, subjectKind, subjectId } of entries) {
        this.send({ seq, act, subject: { kind: subjectKind, id: subjectId } });
      }
      if (entries.length === PAGE) this.missed = true;
    } while (this.missed && !this.out.destroyed);
    this.reading = false;
  }

  private send({ seq, act, subject }: Told): void {
    this.last = seq;
    this.write(`id: ${seq}\nevent: changed\ndata: ${JSON.stringify({ seq, act, subject })}\n\n`);
  }

  /** What stands in no entry: that there is a notice. A page that comes back asks for its notices anyway. */
  private sendUnnumbered({ seq, act, subject }: Told): void {
    if (subject.kind === 'notice') this.write(`event: changed\ndata: ${JSON.stringify({ seq, act, subject })}\n\n`);
  }

  private write(text: string): void {
    if (this.out.writableEnded || this.out.destroyed) return;
    this.out.write(text);
    if (this.out.writableLength > SLOWEST_BYTES) this.out.destroy();
  }
}
