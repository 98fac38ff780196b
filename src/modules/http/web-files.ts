import { existsSync } from 'node:fs';
import { extname, join } from 'node:path';
import fastifyCompress from '@fastify/compress';
import fastifySend from '@fastify/send';
import type { FastifyInstance } from 'fastify';
import { pathOf } from './logging.js';

/** Addresses that belong to programs; a page is never the answer there. */
const NOT_PAGES = /^\/(api|health|problems)(\/|$)/;

/** Serves the built pages: files by their names, and the one page for every other address that a person may open. */
export async function serveWebFiles(fastify: FastifyInstance, root: string): Promise<void> {
  if (!existsSync(join(root, 'index.html'))) return;
  await fastify.register(fastifyCompress, { global: false });
  fastify.get('/*', { compress: {} }, async (request, reply) => {
    const path = pathOf(request.url);
    if (NOT_PAGES.test(path)) return reply.callNotFound();
    const page = extname(path) === '';
    // Built files carry a hash of their content in their names; the others, such as the service worker, keep theirs.
    const lasting = path.startsWith('/assets/');
    const found = await fastifySend.send(request.raw, page ? '/index.html' : path, {
      root,
      index: false,
      maxAge: lasting ? '365d' : 0,
      immutable: lasting,
    });
    if (found.type !== 'file') return reply.callNotFound();
    return reply.code(found.statusCode).headers(found.headers).send(found.stream);
  });
}
