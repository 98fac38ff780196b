import { afterAll, beforeAll, expect, it } from '@jest/globals';
import type { GuideDto } from '../../src/contract/guide.dto.js';
import { FURNISHED } from '../../src/core/guide/tasks.js';
import { type Client, LABORATORY, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

const NEW_PERSON = { name: 'Fenn Ropewalk', roles: ['technician'], password: 'heather kelp lantern' };
const PLACE = { code: 'F-1', name: 'Fridge by the door (invented)', min: 2, max: 8, dark: false };

const doneBy = async (client: Client): Promise<string[]> => (await client.get<GuideDto>('/api/guide')).body.done;

describeOnEachDatabase('What is done of a first hour', (fresh) => {
  let database: FreshDatabase;
  let test: TestApp;

  beforeAll(async () => {
    database = await fresh();
    test = await startApp(database, { config: { demo: true } });
  });
  afterAll(async () => {
    await test.stop();
    await database.drop();
  });

  const addPerson = (client: Client, login: string) => client.post('/api/people', { ...NEW_PERSON, login });

  it('is what the person did in the invented laboratory once it was furnished, and nothing that another did', async () => {
    const brindle = await test.as('administrator');
    const other = await test.as('administrator');
    expect((await addPerson(brindle, 'fenn')).status).toBe(201);
    expect(await doneBy(brindle)).toEqual(['add-person']);
    await test.store.change({ laboratoryId: LABORATORY, personId: null, deviceId: null }, FURNISHED, (unit) => {
      unit.about('laboratory', LABORATORY);
      return Promise.resolve();
    });
    expect(await doneBy(brindle)).toEqual([]);
    expect((await addPerson(brindle, 'gill')).status).toBe(201);
    expect([await doneBy(brindle), await doneBy(other)]).toEqual([['add-person'], []]);
  });

  it('is what a reviewer looked at, and asking for it is no look', async () => {
    const reviewer = await test.as('reviewer');
    expect(await doneBy(reviewer)).toEqual([]);
    const { status } = await reviewer.get('/api/control-days-without?from=2026-11-01&to=2026-11-25&protocol=ao-fresh');
    expect(status).toBe(200);
    expect(await doneBy(reviewer)).toEqual(['ask-record']);
  });
});

describeOnEachDatabase('What is done of the first steps of a laboratory', (fresh) => {
  let database: FreshDatabase;
  let test: TestApp;

  beforeAll(async () => {
    database = await fresh();
    test = await startApp(database);
  });
  afterAll(async () => {
    await test.stop();
    await database.drop();
  });

  it('is what the laboratory has, whoever made it; others and devices are led through nothing', async () => {
    const administrator = await test.as('administrator');
    expect(await doneBy(administrator)).toEqual([]);
    const manager = await test.as('manager');
    expect((await manager.post('/api/places', PLACE)).status).toBe(201);
    expect(await doneBy(administrator)).toEqual(['people', 'places']);
    expect(await doneBy(manager)).toEqual([]);
    expect((await test.nobody.get('/api/guide')).status).toBe(401);
  });
});
