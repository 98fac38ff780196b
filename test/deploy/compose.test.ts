import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { parse } from 'yaml';

// The shape is the Compose Specification's (compose-spec, services, secrets and build.dockerfile_inline).
interface Service {
  image: string;
  build?: { dockerfile_inline: string };
  environment?: Record<string, string>;
  volumes?: string[];
  secrets?: string[];
  networks?: string[];
  ports?: string[];
  command?: string[];
  depends_on?: Record<string, { condition: string }>;
  healthcheck?: { test: string[] };
}
interface Compose {
  services: Record<string, Service>;
  volumes: Record<string, unknown>;
  secrets: Record<string, { file: string }>;
  networks: Record<string, { internal?: boolean } | null>;
}

const text = readFileSync('docker-compose.yml', 'utf8');
const compose = parse(text, { merge: true }) as Compose;
const services = Object.entries(compose.services);
const service = (name: string): Service => {
  const found = compose.services[name];
  if (found === undefined) throw new Error(`docker-compose.yml has no service ${name}`);
  return found;
};

describe('docker-compose.yml', () => {
  it('runs the web, a worker, PostgreSQL and Redis', () => {
    expect(Object.keys(compose.services).sort()).toEqual(['postgres', 'redis', 'web', 'worker']);
  });

  it.each(services)('%s has a health check', (_name, { healthcheck }) => {
    expect(healthcheck?.test[0]).toBe('CMD');
    expect(healthcheck?.test.length).toBeGreaterThan(1);
  });

  it('asks the web for readiness, by syntax that node accepts', () => {
    const [, program, flag, script] = service('web').healthcheck?.test ?? [];
    expect([program, flag]).toEqual(['node', '-e']);
    expect(script).toContain('/health/ready');
    expect(() => new Function(script ?? 'missing script;')).not.toThrow();
  });

  it('builds web and worker as one image that ends as a user other than root', () => {
    const [web, worker] = [service('web'), service('worker')];
    expect(worker.image).toBe(web.image);
    expect(worker.build).toEqual(web.build);
    const lines = (web.build?.dockerfile_inline ?? '').split('\n');
    const lastStage = lines.slice(lines.findLastIndex((line) => line.startsWith('FROM ')));
    const users = lastStage.filter((line) => line.startsWith('USER '));
    expect(users).toEqual(['USER node']);
    // What comes after USER runs as that user; before it, only copies and the making of the data folder.
    expect(lastStage.slice(lastStage.indexOf('USER node')).some((line) => line.startsWith('CMD '))).toBe(true);
    expect(lines.filter((line) => line.startsWith('FROM ')).length).toBe(2);
    expect(lines).toContain('RUN npm ci');
  });

  it('copies only what exists or what the build makes', () => {
    const copied = [...text.matchAll(/COPY (?!--from|\. )(.+) \.\/$/gm)].flatMap((match) => match[1]!.split(' '));
    expect(copied).toEqual(['package.json', 'package-lock.json', '.npmrc']);
    for (const file of copied) expect(() => readFileSync(file)).not.toThrow();
  });

  it('takes secrets from files only', () => {
    for (const [name, { environment = {}, secrets = [] }] of services) {
      for (const [key, value] of Object.entries(environment)) {
        if (/PASSWORD|SECRET|KEY|TOKEN/.test(key)) expect([name, key]).toEqual([name, expect.stringMatching(/_FILE$/)]);
        const credentials = /^[a-z]+:\/\/[^@/]*:[^@/]*@/;
        expect([name, key, credentials.test(value)]).toEqual([name, key, false]);
        const mounted = /^\/run\/secrets\/(.+)$/.exec(value);
        if (mounted) expect(secrets).toContain(mounted[1]);
      }
      for (const secret of secrets) expect(compose.secrets[secret]?.file).toMatch(/^\.\/secrets\//);
    }
    for (const ignore of ['.gitignore', '.dockerignore']) expect(readFileSync(ignore, 'utf8')).toMatch(/^secrets\/?$/m);
  });

  it('keeps what must outlive a container in named volumes', () => {
    const kept = services.flatMap(([, { volumes = [] }]) => volumes).filter((volume) => !volume.startsWith('./'));
    const named = kept.map((volume) => volume.split(':')[0]!);
    expect([...new Set(named)].sort()).toEqual(Object.keys(compose.volumes).sort());
    expect(kept).toContain('database:/var/lib/postgresql/data');
    expect(kept).toContain('queue:/data');
    const data = service('web').environment?.DATA_DIR;
    expect(kept.filter((volume) => volume === `files:${data}`).length).toBe(2);
  });

  it('starts nothing before what it needs, and opens only the web', () => {
    expect(service('web').depends_on).toEqual({
      postgres: { condition: 'service_healthy' },
      redis: { condition: 'service_healthy' },
    });
    expect(service('worker').depends_on).toEqual({ web: { condition: 'service_healthy' } });
    expect(services.filter(([, { ports }]) => ports !== undefined).map(([name]) => name)).toEqual(['web']);
    expect(compose.networks.back?.internal).toBe(true);
    for (const name of ['postgres', 'redis', 'worker']) expect(service(name).networks).toEqual(['back']);
  });

  it('is a production start: no demo laboratory', () => {
    for (const [, { environment = {} }] of services) expect(environment).not.toHaveProperty('STAINWRIGHT_DEMO');
  });

  it('refuses to let Redis drop jobs when memory is short, as BullMQ asks', () => {
    // BullMQ's documentation, "Going to production": maxmemory-policy must be noeviction.
    const command = service('redis').command ?? [];
    expect(command[command.indexOf('--maxmemory-policy') + 1]).toBe('noeviction');
  });
});
