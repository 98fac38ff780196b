import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query, Req, Res } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import fastifySend from '@fastify/send';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { NewPackDto, PackDto, PackListDto, PackQueryDto } from '../../contract/packs.dto.js';
import { Acting, OnceKey, SignedIn } from '../http/access.js';
import { PacksService } from './packs.service.js';

/** Evidence packs; a reviewer asks for those of the period that was granted, and sees their own. */
@Controller('packs')
export class PacksController {
  constructor(private readonly packs: PacksService) {}

  /** Asks for a pack; it is made beside, ask how far it is. */
  @Post()
  @SignedIn({ reviewersMayChange: true })
  ask(@Acting() acting: Acting, @Body() body: NewPackDto, @OnceKey() key?: string): Promise<PackDto> {
    return this.packs.ask(acting, body, key);
  }

  /** Packs, newest first. */
  @Get()
  @SignedIn()
  list(@Acting() acting: Acting, @Query() query: PackQueryDto): Promise<PackListDto> {
    return this.packs.list(acting, query);
  }

  /** One pack and how far it is. */
  @Get(':id')
  @SignedIn()
  one(@Acting() acting: Acting, @Param('id') id: string): Promise<PackDto> {
    return this.packs.one(acting, id);
  }

  /** Makes a pack that failed, anew. */
  @Post(':id/again')
  @HttpCode(200)
  @SignedIn({ reviewersMayChange: true })
  again(@Acting() acting: Acting, @Param('id') id: string, @OnceKey() key?: string): Promise<PackDto> {
    return this.packs.again(acting, id, key);
  }

  /** Cancels a pack that is being made, or removes the file of one that is; what was asked for stays in the record. */
  @Delete(':id')
  @HttpCode(200)
  @SignedIn({ reviewersMayChange: true })
  end(@Acting() acting: Acting, @Param('id') id: string, @OnceKey() key?: string): Promise<PackDto> {
    return this.packs.end(acting, id, key);
  }

  /** The zip file, or a part of it when a range is asked for. */
  @Get(':id/download')
  @SignedIn()
  @Header('cache-control', 'private, no-cache')
  @ApiProduces('application/zip')
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async download(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Req() request: FastifyRequest,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    const { folder, file, name } = await this.packs.file(acting, id);
    const found = await fastifySend.send(request.raw, `/${file}`, { root: folder, index: false, cacheControl: false });
    if (found.type !== 'file') throw this.packs.gone(id);
    await reply
      .code(found.statusCode)
      .headers(found.headers)
      .header('content-type', 'application/zip')
      .header('content-disposition', `attachment; filename="${name}"`)
      .send(found.stream);
  }
}
