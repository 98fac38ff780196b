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

  /** Who signs, after the password was given again as the form's field `password`; refuses a device and a wrong one. */
  async confirm(acting: Acting, password: string): Promise<{ personId: string; name: string }> {
    const { personId, name } = acting;
    if (personId === null) {
      throw new Refusal('forbidden', 'person-needed', 'Only a person can sign; sign in and sign there.');
    }
    if (!(await this.passwords.isOwn({ ...acting, personId }, password, 'password'))) {
      throw wrongPassword('password', 'This is not your password; nothing was signed.');
    }
    return { personId, name };
  }

  /** Somebody else who signs at the same place, by login and the password in the form's field `at`; refuses wrong ones. */
  async confirmOther(login: string, password: string, at: string): Promise<{ personId: string; name: string }> {
    const personId = await this.passwords.ofLogin(login, password, at);
    if (personId === null) throw wrongPassword(at, 'Login and password do not fit; nothing was signed.');
    const { name } = await this.passwords.person(personId);
    return { personId, name };
  }

  /** Signs a record for the person who acts. */
  async sign(acting: Acting, password: string, meaning: SignatureMeaning, record: unknown): Promise<Signature> {
    return signatureOf(await this.confirm(acting, password), meaning, record, this.clock.now());
  }
}

/** Names the field, since a form may ask two people for theirs. */
function wrongPassword(at: string, message: string): Refusal {
  return new Refusal('forbidden', 'wrong-password', message, [{ at, message }]);
}
