import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Res } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import type { FastifyReply } from 'fastify';
import { Config } from '../../config.js';
import {
  BadgeLabelDto,
  BadgePinDto,
  DayPassDto,
  HandOverDto,
  NewBadgeDto,
  NewDayPassDto,
  NewPasswordDto,
  PassHandOverDto,
  SessionDto,
  SetUpDto,
  SignInDto,
} from '../../contract/people.dto.js';
import { Acting, Allow, Public, SignedIn } from '../http/access.js';
import { SESSION_COOKIE } from '../http/sessions.js';
import { Badges } from './badges.js';
import { DayPasses } from './day-passes.js';
import { SessionService } from './session.service.js';

@ApiTags('people')
@Controller()
export class SessionController {
  private readonly cookie: { path: string; httpOnly: boolean; sameSite: 'strict'; secure: boolean };

  constructor(
    private readonly service: SessionService,
    private readonly badges: Badges,
    private readonly passes: DayPasses,
    { tls, publicUrl }: Config,
  ) {
    const secure = tls !== null || (publicUrl?.startsWith('https:') ?? false);
    this.cookie = { path: '/', httpOnly: true, sameSite: 'strict', secure };
  }

  /** Who is signed in, and where. */
  @SignedIn()
  @Get('session')
  current(@Acting() acting: Acting): Promise<SessionDto> {
    return this.service.current(acting);
  }

  /** Signs a person in. */
  @Public()
  @Post('session')
  @HttpCode(200)
  async signIn(@Body() asked: SignInDto, @Res({ passthrough: true }) reply: FastifyReply): Promise<SessionDto> {
    const { answer, secret } = await this.service.signIn(asked);
    reply.setCookie(SESSION_COOKIE, secret, this.cookie);
    return answer;
  }

  /** Signs the person out. */
  @SignedIn({ reviewersMayChange: true })
  @Delete('session')
  @HttpCode(204)
  async signOut(@Acting() acting: Acting, @Res({ passthrough: true }) reply: FastifyReply): Promise<void> {
    await this.service.signOut(acting);
    reply.clearCookie(SESSION_COOKIE, this.cookie);
  }

  /** Hands this browser over to the person of a badge, for work at the bench; signatures ask for the password all the same. */
  @SignedIn()
  @Post('session/hand-over')
  @HttpCode(200)
  async handOver(
    @Acting() acting: Acting,
    @Body() asked: HandOverDto,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<SessionDto> {
    const { answer, secret } = await this.service.handOver(acting, asked);
    reply.setCookie(SESSION_COOKIE, secret, this.cookie);
    return answer;
  }

  /** Hands this browser over to who took it over without a network, by the proof of a day pass. */
  @SignedIn()
  @Post('session/hand-over/day-pass')
  @HttpCode(200)
  async handOverByPass(
    @Acting() acting: Acting,
    @Body() asked: PassHandOverDto,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<SessionDto> {
    const { answer, secret } = await this.service.begun(this.passes.handOver(acting, asked));
    reply.setCookie(SESSION_COOKIE, secret, this.cookie);
    return answer;
  }

  /** Gives the person who took over by badge and PIN a pass, to take over this device without a network for the day. */
  @SignedIn()
  @Post('session/day-pass')
  givePass(@Acting() acting: Acting, @Body() asked: NewDayPassDto): Promise<DayPassDto> {
    return this.passes.give(acting, asked);
  }

  /** Makes the own badge with its PIN. */
  @SignedIn()
  @Post('session/badge')
  @Header('cache-control', 'no-store')
  makeBadge(@Acting() acting: Acting, @Body() asked: NewBadgeDto): Promise<BadgeLabelDto> {
    return this.badges.make(acting, asked);
  }

  /** Sets the PIN of the badge that the person was given. */
  @SignedIn()
  @Post('session/badge/pin')
  @HttpCode(204)
  setPin(@Acting() acting: Acting, @Body() asked: BadgePinDto): Promise<void> {
    return this.badges.setPin(acting, asked);
  }

  /** Gives a person a badge to be printed now; it serves once its owner has set a PIN. */
  @Allow('administrator', 'manager')
  @Post('people/:id/badge')
  @Header('cache-control', 'no-store')
  giveBadge(@Acting() acting: Acting, @Param('id') id: string): Promise<BadgeLabelDto> {
    return this.badges.give(acting, id);
  }

  /** Ends a person's badge that was lost. */
  @Allow('administrator', 'manager')
  @Delete('people/:id/badge')
  @HttpCode(204)
  endBadge(@Acting() acting: Acting, @Param('id') id: string): Promise<void> {
    return this.badges.end(acting, id);
  }

  /** Changes the own password. */
  @SignedIn({ reviewersMayChange: true })
  @Post('session/password')
  @HttpCode(204)
  changePassword(@Acting() acting: Acting, @Body() asked: NewPasswordDto): Promise<void> {
    return this.service.changePassword(acting, asked);
  }

  /** Makes the first administrator, by the one-time link that the program printed. */
  @Public()
  @Post('setup')
  @HttpCode(204)
  async setUp(@Body() asked: SetUpDto): Promise<void> {
    await this.service.setUp(asked);
  }
}
