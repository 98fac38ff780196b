import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer, type AddressInfo } from 'node:net';
import { Redis } from 'ioredis';

/** A Redis of the test's own, to be stopped, halted and emptied; it keeps nothing over a restart. */
export class OwnRedis {
  private process: ChildProcess | null = null;

  private constructor(private readonly port: number) {}

  /** Chooses a free port; nothing listens there before `start`. */
  static async choose(): Promise<OwnRedis> {
    const probe = createServer().listen(0, '127.0.0.1');
    await once(probe, 'listening');
    const { port } = probe.address() as AddressInfo;
    probe.close();
    await once(probe, 'close');
    return new OwnRedis(port);
  }

  get url(): string {
    return `redis://127.0.0.1:${this.port}`;
  }

  async start(): Promise<void> {
    const args = ['--bind', '127.0.0.1', '--port', String(this.port), '--save', '', '--appendonly', 'no'];
    this.process = spawn('redis-server', args, { stdio: 'ignore', cwd: '/' });
    await redisCommand(this.url, (redis) => redis.ping());
  }

  async stop(): Promise<void> {
    const { process } = this;
    this.process = null;
    if (!process || process.exitCode !== null) return;
    process.kill('SIGKILL');
    await once(process, 'exit');
  }

  /** Takes connections and answers nothing, as a machine that hangs does. */
  halt(): void {
    this.process?.kill('SIGSTOP');
  }

  goOn(): void {
    this.process?.kill('SIGCONT');
  }
}

/** Asks Redis something on a connection of its own, which is tried until it stands. */
export async function redisCommand<T>(url: string, ask: (redis: Redis) => Promise<T>): Promise<T> {
  const redis = new Redis(url, { maxRetriesPerRequest: null, retryStrategy: () => 50 });
  redis.on('error', () => undefined);
  try {
    return await ask(redis);
  } finally {
    redis.disconnect();
  }
}

/** Removes every key that begins with the prefix and answers them. */
export function emptyRedis(url: string, prefix: string): Promise<string[]> {
  return redisCommand(url, async (redis) => {
    const keys = await redis.keys(`${prefix}*`);
    if (keys.length > 0) await redis.del(keys);
    return keys;
  });
}
