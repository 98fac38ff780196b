import 'reflect-metadata';
import { type FreshDatabase } from '../support/databases.js';
import { startApp } from '../support/app.js';
import { furnish } from '../support/furnish.js';

/** The whole program on a fresh SQLite file, furnished for bedside runs, with one technician signed in. */
const file = process.argv[2] as string;
const database: FreshDatabase = { address: { kind: 'sqlite', file }, drop: async () => undefined };
const test = await startApp(database);
const furnished = await furnish(test);
const technician = await test.as('technician');
process.send?.({ port: Number(new URL(test.url).port), headers: technician.headers, furnished, now: test.clock.now() });
