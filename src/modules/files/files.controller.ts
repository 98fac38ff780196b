import type { Readable } from 'node:stream';
import { Controller, Get, Header, Headers, Param, Post, Query, Res, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import type { FastifyReply } from 'fastify';
import { FileDto, NewFileDto } from '../../contract/files.dto.js';
import { FILE_TYPES } from '../../core/file/file-type.js';
import { Acting, Allow, OnceKey, SignedIn } from '../http/access.js';
import { RawBody, TakesRaw } from '../http/raw-body.js';
import { FilesService } from './files.service.js';

@Controller('files')
export class FilesController {
  constructor(private readonly files: FilesService) {}

  /** Keeps a file, a picture or a PDF, sent as the body itself; its first bytes tell what it is. */
  @Post()
  @Allow('technician', 'releaser', 'manager', 'director')
  @TakesRaw('application/octet-stream', ...FILE_TYPES)
  keep(
    @Acting() acting: Acting,
    @Query() query: NewFileDto,
    @RawBody() body: Readable,
    @OnceKey() key?: string,
  ): Promise<FileDto> {
    return this.files.keep(acting, query, body, key);
  }

  /** The content of a file. */
  @Get(':id')
  @SignedIn()
  @Header('x-content-type-options', 'nosniff')
  @Header('cache-control', 'private, no-cache')
  @ApiProduces(...FILE_TYPES)
  @ApiOkResponse({ schema: { type: 'string', format: 'binary' } })
  async content(
    @Acting() acting: Acting,
    @Param('id') id: string,
    @Headers('if-none-match') known: string | undefined,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<StreamableFile | undefined> {
    const { row, open } = await this.files.find(acting, id);
    const etag = `"${row.sha256}"`;
    void reply.header('etag', etag);
    if (known === etag) {
      void reply.status(304);
      return undefined;
    }
    const { mediaType, name, bytes } = row;
    // A picture shows in its page; a document may hold scripts, so it is only ever saved.
    const way = mediaType === 'application/pdf' ? 'attachment' : 'inline';
    return new StreamableFile(await open(), {
      type: mediaType,
      disposition: `${way}; filename*=UTF-8''${encoded(name)}`,
      length: bytes,
    });
  }
}

/** A name as a header may carry it (RFC 8187). */
function encoded(name: string): string {
  return encodeURIComponent(name).replace(/['()*]/g, (each) => `%${each.charCodeAt(0).toString(16).toUpperCase()}`);
}
