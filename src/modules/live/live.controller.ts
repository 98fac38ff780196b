import { type BeforeApplicationShutdown, Controller, Get, Headers, Logger, Res } from '@nestjs/common';
import { ApiHeader, ApiOkResponse, ApiTags } from '@nestjs/swagger';
import type { FastifyReply } from 'fastify';
import { Refusal } from '../../core/refusal.js';
import type { Changed } from '../../store/changed.js';
import { lastSeq } from '../../store/questions/entries.js';
import { Store } from '../../store/store.js';
import { Acting, SignedIn } from '../http/access.js';
import { Sessions } from '../http/sessions.js';
import { Subscription } from './subscription.js';

const BEAT_MS = 15_000;

@ApiTags('live')
@Controller('live')
export class LiveController implements BeforeApplicationShutdown {
  private readonly log = new Logger('live');
  private readonly open = new Set<Subscription>();

  constructor(
    private readonly store: Store,
    private readonly sessions: Sessions,
  ) {}

  /** Tells what changed, as server-sent events whose ids are record numbers; `Last-Event-ID` resumes. */
  @SignedIn()
  @Get()
  @ApiHeader({ name: 'Last-Event-ID', required: false, schema: { type: 'integer', minimum: 0 } })
  @ApiOkResponse({ content: { 'text/event-stream': { schema: { type: 'string' } } } })
  async changes(
    @Acting() acting: Acting,
    @Headers('last-event-id') lastEventId: string | undefined,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    const from = seqOf(lastEventId);
    const { laboratoryId } = acting;
    const cutOff = (error: unknown): void => {
      this.log.error(error);
      subscription.out.destroy();
    };
    const subscription = new Subscription(this.store, laboratoryId, cutOff);
    const check = (): void => {
      this.sessions.stillHolds(acting).then((holds) => {
        if (!holds) subscription.end();
      }, cutOff);
    };
    const hear = ({ subject }: Changed): void => {
      if ([acting.personId, acting.deviceId, acting.sessionId].includes(subject.id)) check();
    };
    const beat = setInterval(() => {
      subscription.beat();
      check();
    }, BEAT_MS);
    this.store.feed.on('changed', hear);
    this.open.add(subscription);
    subscription.out.once('close', () => {
      clearInterval(beat);
      this.store.feed.off('changed', hear);
      this.open.delete(subscription);
    });
    void reply
      .header('content-type', 'text/event-stream; charset=utf-8')
      // Asks a reverse proxy to pass events on as they come.
      .header('x-accel-buffering', 'no')
      .send(subscription.out);
    try {
      const last = await this.store.read(laboratoryId, lastSeq);
      // A number beyond the end can only come from before a restore.
      await subscription.start(Math.min(from ?? last, last));
    } catch (error) {
      cutOff(error);
    }
  }

  beforeApplicationShutdown(): void {
    for (const subscription of this.open) subscription.end();
  }
}

function seqOf(lastEventId: string | undefined): number | null {
  if (lastEventId === undefined || lastEventId === '') return null;
  const seq = /^\d{1,15}$/.test(lastEventId) ? Number(lastEventId) : Number.NaN;
  if (Number.isSafeInteger(seq)) return seq;
  throw new Refusal('invalid', 'bad-event-id', 'The header Last-Event-ID must be a record number, such as 42.');
}
