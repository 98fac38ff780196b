import { Injectable } from '@nestjs/common';
import { Config } from '../../config.js';
import { setupLinkEnd } from '../../core/people/session.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { PersonRow, SetupLinkRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { newSecret } from '../http/secrets.js';

/** The one-time links by which the first administrator comes in. */
@Injectable()
export class SetupLinks {
  constructor(
    private readonly store: Store,
    private readonly config: Config,
  ) {}

  /** The secret of a new link, in place of any before it; null once there is a person. */
  makeForFirstPerson(): Promise<string | null> {
    const { laboratoryId } = this.config;
    const secret = newSecret();
    const program = { laboratoryId, personId: null, deviceId: null };
    return this.store.change(program, 'laboratory.set-up-offered', async (unit) => {
      if ((await unit.count(PersonRow)) > 0) return null;
      const id = sha256(secret);
      const expiresAt = setupLinkEnd(unit.at);
      await unit.remove(SetupLinkRow, {});
      await unit.add(SetupLinkRow, { id, expiresAt, usedAt: null });
      unit.about('set-up-link', id, { expiresAt });
      return secret;
    });
  }

  /** Refuses a secret whose link does not work at `now`. */
  async check(view: View, secret: string, now: string): Promise<SetupLinkRow> {
    const link = await view.one(SetupLinkRow, { id: sha256(secret) });
    if (!link || link.usedAt !== null || now >= link.expiresAt || (await view.count(PersonRow)) > 0) {
      throw new Refusal(
        'forbidden',
        'set-up-link-over',
        'This set-up link is not known, was used, or is older than a day. While nobody can sign in, each start of the ' +
          'program prints a new one; after that an administrator makes accounts.',
      );
    }
    return link;
  }

  async use(unit: Unit, secret: string): Promise<void> {
    const { id } = await this.check(unit, secret, unit.at);
    await unit.change(SetupLinkRow, { id }, { usedAt: unit.at });
  }
}
