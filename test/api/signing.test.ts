import { createHash } from 'node:crypto';
import { beforeEach, expect, it } from '@jest/globals';
import type { Acting } from '../../src/modules/http/access.js';
import { Signing } from '../../src/modules/http/signing.js';
import { LABORATORY, PASSWORD, START } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

describeOnEachDatabase('A signature', (fresh) => {
  onProgram(fresh, { each: true });

  let signing: Signing;
  let acting: Acting;

  beforeEach(async () => {
    signing = test.app.get(Signing);
    const personId = await test.createPerson('brindle.ashe', ['releaser']);
    acting = {
      laboratoryId: LABORATORY,
      personId,
      deviceId: null,
      roles: ['releaser'],
      name: 'Brindle Ashe',
      sessionId: null,
    };
  });

  // 21 CFR 11.50(a): name, date and time, meaning. RFC 8785: keys sorted by code unit, no spaces.
  it('tells who, when and what it means, and is bound to the record’s canonical bytes', async () => {
    const signature = await signing.sign(acting, PASSWORD, 'release', { b: 2, a: 'ä' });
    const expected = createHash('sha256').update('{"a":"ä","b":2}', 'utf8').digest('hex');
    expect(signature).toEqual({
      personId: acting.personId,
      name: 'Brindle Ashe',
      at: START,
      meaning: 'release',
      recordHash: expected,
    });
  });

  it('of somebody else at the same place takes the login as signing in does, and names the field of the password', async () => {
    await expect(signing.confirmOther(' Brindle.Ashe ', PASSWORD, 'second')).resolves.toMatchObject({
      personId: acting.personId,
    });
    await expect(signing.confirmOther('brindle.ashe', 'wrong', 'second')).rejects.toMatchObject({
      code: 'wrong-password',
      problems: [{ at: 'second' }],
    });
  });

  it('is refused with a wrong password, more slowly each time, and to a device', async () => {
    const wrong = () => signing.sign(acting, 'wrong', 'release', {});
    for (let tries = 0; tries < 3; tries += 1)
      await expect(wrong()).rejects.toMatchObject({ kind: 'forbidden', code: 'wrong-password' });
    await expect(signing.sign(acting, PASSWORD, 'release', {})).rejects.toMatchObject({
      kind: 'too-many',
      problems: [{ at: 'password' }],
    });
    test.clock.forward(1000);
    await expect(signing.sign(acting, PASSWORD, 'release', {})).resolves.toMatchObject({ meaning: 'release' });
    const device = { ...acting, personId: null, deviceId: 'd' };
    await expect(signing.sign(device, PASSWORD, 'release', {})).rejects.toMatchObject({ code: 'person-needed' });
  });
});
