import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { type Signature, type SignatureMeaning, signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import type { Acting } from './access.js';
import { Passwords } from './passwords.js';

/** Makes signatures: the signer proves who they are again at each one (21 CFR 11.200(a)(1)). */
@Injectable()
export class Signing {
  constructor(
    private readonly passwords: Passwords,
    private readonly clock: Clock,
  ) {}

  /** Who signs, after the password was given again; refuses a device and a wrong password. */
  async confirm(acting: Acting, password: string): Promise<{ personId: string; name: string }> {
    const { personId, name } = acting;
    if (personId === null) {
      throw new Refusal('forbidden', 'person-needed', 'Only a person can sign; sign in and sign there.');
    }
    if (!(await this.passwords.isOwn({ ...acting, personId }, password))) {
      throw new Refusal('forbidden', 'wrong-password', 'This is not your password; nothing was signed.');
    }
    return { personId, name };
  }

  /** Somebody else who signs at the same place, by login and password; refuses wrong ones. */
  async confirmOther(login: string, password: string): Promise<{ personId: string; name: string }> {
    const personId = await this.passwords.ofLogin(login, password);
    if (personId === null) {
      throw new Refusal('forbidden', 'wrong-password', 'Login and password do not fit; nothing was signed.');
    }
    const { name } = await this.passwords.person(personId);
    return { personId, name };
  }

  /** Signs a record for the person who acts. */
  async sign(acting: Acting, password: string, meaning: SignatureMeaning, record: unknown): Promise<Signature> {
    return signatureOf(await this.confirm(acting, password), meaning, record, this.clock.now());
  }
}
