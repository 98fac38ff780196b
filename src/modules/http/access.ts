import { applyDecorators, createParamDecorator, type ExecutionContext, SetMetadata } from '@nestjs/common';
import { ApiBearerAuth, ApiCookieAuth, ApiHeader } from '@nestjs/swagger';
import type { FastifyRequest } from 'fastify';
import type { ReviewGrant } from '../../core/people/review.js';
import type { Role } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import type { Once } from '../../store/store.js';
import type { Actor } from '../../store/unit.js';

/** Who may call a route. */
export type Access =
  | { to: 'everyone' }
  | { to: 'roles'; roles: readonly Role[] }
  /** `reviewersMayChange`: what is a reviewer's own, such as ending the session. */
  | { to: 'signed-in'; reviewersMayChange: boolean };

export const ACCESS = 'stainwright:access';

/** Who acts in a request, once the guard let it through. */
export interface Acting extends Actor {
  roles: readonly Role[];
  /** The person's or the device's name. */
  name: string;
  /** Null for a device with a token. */
  sessionId: string | null;
  /** What a reviewer may see; absent for everybody else. */
  review?: ReviewGrant;
}

/** A request as the guard leaves it. */
export type ActingRequest = FastifyRequest & { acting?: Acting };

/** The route answers everyone. */
export const Public = (): MethodDecorator => SetMetadata(ACCESS, { to: 'everyone' } satisfies Access);

/** The route answers a person or device with any of these roles; no role implies another. */
export const Allow = (...roles: [Role, ...Role[]]): MethodDecorator =>
  applyDecorators(SetMetadata(ACCESS, { to: 'roles', roles } satisfies Access), ApiCookieAuth(), ApiBearerAuth());

/** The route answers whoever is signed in; reviewers only when it changes nothing, or when they may change it. */
export const SignedIn = ({ reviewersMayChange = false } = {}): MethodDecorator =>
  applyDecorators(
    SetMetadata(ACCESS, { to: 'signed-in', reviewersMayChange } satisfies Access),
    ApiCookieAuth(),
    ApiBearerAuth(),
  );

/** Gives a handler who acts. */
export const Acting = createParamDecorator((_: unknown, context: ExecutionContext): Acting => {
  const { acting } = context.switchToHttp().getRequest<ActingRequest>();
  if (!acting) throw new Error('a public route asked who acts; nobody was made to sign in');
  return acting;
});

const KEY = /^[\x21-\x7e]{1,200}$/;

/** Gives a handler the `Idempotency-Key`, if one was sent. */
export const OnceKey = createParamDecorator(
  (_: unknown, context: ExecutionContext): string | undefined => {
    const key = context.switchToHttp().getRequest<FastifyRequest>().headers['idempotency-key'];
    if (key === undefined) return undefined;
    if (typeof key === 'string' && KEY.test(key)) return key;
    throw new Refusal(
      'invalid',
      'bad-idempotency-key',
      'The header Idempotency-Key must have 1 to 200 visible ASCII characters, such as a UUID.',
    );
  },
  [
    (target, property) => {
      const descriptor = property && Object.getOwnPropertyDescriptor(target, property);
      if (descriptor) {
        ApiHeader({
          name: 'Idempotency-Key',
          required: false,
          description: 'Chosen by the caller, the same for every repeat of one request: repeats have one effect.',
          schema: { type: 'string', maxLength: 200 },
        })(target, property, descriptor);
      }
    },
  ],
);

/**
 * Names a request for `store.change`, so that its repeats have one effect. `request` holds what was asked, ids from the
 * path included; a password is left out, since a plain hash of it would be stored.
 */
export function onceOf(key: string | undefined, request: object): Once | undefined {
  if (key === undefined) return undefined;
  const asked = Object.entries(request).filter(([name]) => name !== 'password');
  return { key, request: Object.fromEntries(asked) };
}
