import { existsSync } from 'node:fs';
import { extname, join } from 'node:path';
import fastifyCompress from '@fastify/compress';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { pathOf } from './logging.js';

/** Addresses that belong to programs; a page is never the answer there. */
const NOT_PAGES = /^\/(api|health|problems)(\/|$)/;

/** Serves the built pages: files by their names, and the one page for every other address that a person may open. */
export async function serveWebFiles(fastify: FastifyInstance, folder: string): Promise<void> {
  if (!existsSync(join(folder, 'index.html'))) return;
  await fastify.register(fastifyCompress, { global: false });
  await fastify.register(fastifyStatic, { root: folder, serve: false });
  fastify.get('/*', { compress: {} }, (request, reply) => {
    const path = pathOf(request.url);
    if (NOT_PAGES.test(path)) return reply.callNotFound();
    if (extname(path) === '') return reply.sendFile('index.html', { cacheControl: false }).header('cache-control', 'no-cache');
    // Built files carry a hash of their content in their names; the others, such as the service worker, keep theirs.
    const lasting = path.startsWith('/assets/');
    return reply.sendFile(decodeURIComponent(path.slice(1)), { maxAge: lasting ? '365d' : 0, immutable: lasting });
  });
}
