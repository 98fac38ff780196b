import { timingSafeEqual } from 'node:crypto';
import { type CanActivate, type ExecutionContext, Injectable } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyRequest } from 'fastify';
import { Refusal } from '../../core/refusal.js';
import { type Access, ACCESS, type Acting, type ActingRequest } from './access.js';
import { Reviewing } from './reviewing.js';
import { SESSION_COOKIE, Sessions } from './sessions.js';

const SAFE_METHODS = ['GET', 'HEAD', 'OPTIONS'];

/** Lets a request through to its handler only when the handler says for whom it is and the caller is one of them. */
@Injectable()
export class AccessGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    private readonly sessions: Sessions,
    private readonly reviewing: Reviewing,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const access = this.reflector.get<Access | undefined>(ACCESS, context.getHandler());
    if (!access) throw new Refusal('forbidden', 'no-access-rule', 'This address says for nobody that they may use it.');
    if (access.to === 'everyone') return true;
    const request = context.switchToHttp().getRequest<ActingRequest>();
    const changes = !SAFE_METHODS.includes(request.method);
    const acting = await this.whoActs(request, changes);
    if (access.to === 'roles' && !access.roles.some((role) => acting.roles.includes(role))) {
      throw new Refusal('forbidden', 'role-needed', `This needs one of the roles ${access.roles.join(', ')}.`);
    }
    const reviewersMayChange = access.to === 'signed-in' && access.reviewersMayChange;
    if (changes && acting.roles.includes('reviewer') && !reviewersMayChange) {
      throw new Refusal('forbidden', 'reviewers-only-read', 'A reviewer reads the record and changes nothing.');
    }
    request.acting = acting.roles.includes('reviewer') ? await this.reviewing.admit(acting, request) : acting;
    return true;
  }

  private async whoActs(request: FastifyRequest, changes: boolean): Promise<Acting> {
    const { authorization } = request.headers;
    if (authorization !== undefined) return this.ofToken(authorization);
    const secret = request.cookies[SESSION_COOKIE];
    const open = secret === undefined ? null : await this.sessions.ofCookie(secret);
    if (!open) {
      throw new Refusal(
        'unauthenticated',
        'sign-in-needed',
        'Nobody is signed in here, or the session is over; sign in.',
      );
    }
    if (changes && !sameText(request.headers['x-csrf-token'], open.csrf)) {
      throw new Refusal(
        'forbidden',
        'csrf-token-needed',
        'The header X-CSRF-Token must repeat the csrf value that GET /api/session gives.',
      );
    }
    return open.acting;
  }

  private async ofToken(authorization: string): Promise<Acting> {
    const token = /^Bearer ([A-Za-z0-9_-]{1,200})$/i.exec(authorization)?.[1];
    const acting = token === undefined ? null : await this.sessions.ofToken(token);
    if (!acting) {
      throw new Refusal(
        'unauthenticated',
        'unknown-token',
        'The header Authorization names no device of this laboratory; send "Bearer" and a token that was not revoked.',
      );
    }
    return acting;
  }
}

function sameText(given: string | string[] | undefined, expected: string): boolean {
  const [a, b] = [Buffer.from(String(given)), Buffer.from(expected)];
  return a.length === b.length && timingSafeEqual(a, b);
}
