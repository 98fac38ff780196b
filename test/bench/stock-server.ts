import 'reflect-metadata';
import { startApp } from '../support/app.js';

/** The whole program on the database that is named, with a manager signed in; tells its memory when asked. */
const [file, filled] = process.argv.slice(2) as [string, 'new' | 'filled'];
const test = await startApp({ address: { kind: 'sqlite', file }, drop: async () => undefined });
const manager = filled === 'new' ? await test.as('manager') : await test.signIn('manager-1');
process.on('message', () => process.send?.({ peakMb: process.resourceUsage().maxRSS / 1024 }));
process.send?.({ url: test.url, headers: manager.headers });
