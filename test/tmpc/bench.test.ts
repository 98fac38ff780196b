import { it } from '@jest/globals';
import { startApp, LABORATORY } from '../../test/support/app.js';
import { freshSqlite, freshPostgres } from '../../test/support/databases.js';
import { book } from '../../src/store/acts/book.js';
const HEADING = 'reagent,lot number,expiry,amount,unit,supplier,price';
for (const [name, fresh] of [['sqlite', freshSqlite], ['postgres', freshPostgres]] as const)
  it(name, async () => {
    const db = await fresh();
    const test = await startApp(db);
    const m = await test.as('manager');
    const file = [HEADING, ...Array.from({ length: 2000 }, (_, n) => `eosin-y-alcoholic,L-${n},2027-06-30,500,mL,Tarn,18.50`)].join('\n');
    const send = async (q: string) => { const t = performance.now(); const a = await fetch(`${test.url}/api/stock/import${q}`, { method: 'POST', headers: { ...m.headers, 'content-type': 'text/csv' }, body: file }); const b = await a.json() as { right: number; taken: boolean; bad?: unknown[] }; console.log(name, q || 'take', a.status, b.right, b.taken, Math.round(performance.now() - t), 'ms'); };
    await send('?dryRun=true'); await send('');
    const lot = (await m.post<any>('/api/lots', { reagent: 'xylene', number: 'B', expiry: '2027-06', source: 'T', containers: [{ size: '500 mL' }] })).body;
    const id = lot.containers[0].id;
    const one = (k: number) => test.store.change({ laboratoryId: LABORATORY, personId: null, deviceId: null }, 'stock.used', async (u) => { for (let i = 0; i < k; i++) await book(u, { kind: 'used', containerId: id, micro: -10 }); u.about('container', id); });
    await one(1);
    let t = performance.now(); for (let i = 0; i < 500; i++) await one(1); console.log(name, '500 acts of one movement, one after another', Math.round(performance.now() - t), 'ms');
    t = performance.now(); await Promise.all(Array.from({ length: 2000 }, () => one(1))); console.log(name, '2000 acts at once', Math.round(performance.now() - t), 'ms');
    t = performance.now(); await m.get('/api/stock/on-hand?take=200'); console.log(name, 'on-hand of 2001 containers', Math.round(performance.now() - t), 'ms');
    await test.stop(); await db.drop();
  }, 300000);
