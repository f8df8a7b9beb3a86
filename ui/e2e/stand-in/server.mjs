// A stand-in for the server, for the page's own tests and pictures: the same addresses, invented contents, the same strict policy.
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { extname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { ear } from './ear.mjs';
import { routes } from './routes.mjs';

const dist = fileURLToPath(new URL('../../dist', import.meta.url));
const kinds = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml', '.png': 'image/png', '.woff2': 'font/woff2', '.webmanifest': 'application/manifest+json' };
export const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; media-src 'self' blob:; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

async function page(path, response) {
  const file = normalize(join(dist, path === '/' ? 'index.html' : path));
  try {
    if (!file.startsWith(dist)) throw new Error('outside');
    const body = await readFile(file);
    response.writeHead(200, { 'content-type': kinds[extname(file)] ?? 'application/octet-stream', 'content-security-policy': policy }).end(body);
  } catch {
    response.writeHead(404).end();
  }
}

/** Starts on a free port. `studio` is the state the routes work on; `faults` maps a path prefix to a status to fail with, or 'never' to leave waiting. */
export async function standIn(studio, faults = {}, listen = undefined) {
  const server = createServer((request, response) => {
    const where = new URL(request.url, 'http://localhost');
    if (!where.pathname.startsWith('/api/')) return void page(where.pathname, response);
    const fault = Object.entries(faults).find(([prefix]) => where.pathname.startsWith(prefix))?.[1];
    if (fault === 'never') return;
    if (fault) return void response.writeHead(fault.status, { 'content-type': 'application/problem+json' }).end(JSON.stringify(fault));
    const chunks = [];
    request.on('data', (chunk) => chunks.push(chunk));
    request.on('end', () => {
      const text = Buffer.concat(chunks).toString();
      const json = request.headers['content-type'] === 'application/json' ? JSON.parse(text) : null;
      const found = routes.find((route) => route.method === request.method && route.path.test(where.pathname));
      if (!found) return void response.writeHead(404, { 'content-type': 'application/problem+json' }).end(JSON.stringify({ code: 'not-found', detail: where.pathname }));
      const parts = (found.path.exec(where.pathname) ?? []).slice(1).map(decodeURIComponent);
      const answer = found.give({ studio, parts, query: where.searchParams, json });
      if (answer?.bytes) return void response.writeHead(200, { 'content-type': answer.kind }).end(answer.bytes);
      if (typeof answer?.status === 'number') return void response.writeHead(answer.status, { 'content-type': 'application/problem+json' }).end(JSON.stringify(answer));
      if (answer === undefined) return void response.writeHead(204).end();
      response.writeHead(200, { 'content-type': 'application/json' }).end(JSON.stringify(answer));
    });
  });
  await new Promise((up) => server.listen(0, '127.0.0.1', up));
  const address = `http://127.0.0.1:${server.address().port}`;
  const heard = listen ? ear(server, listen) : null;
  return { address, heard, close: () => new Promise((down) => (server.closeAllConnections(), server.close(down))) };
}
