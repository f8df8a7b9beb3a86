// The real program on a data folder of its own, started and stopped (or killed) by a test.
import { spawn } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { policy } from './stand-in/server.mjs';

export const binary = process.env.WATERKEY_BIN;
const dist = fileURLToPath(new URL('../dist', import.meta.url));
const kinds = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml', '.png': 'image/png', '.woff2': 'font/woff2', '.webmanifest': 'application/manifest+json' };

export class Program {
  #child = null;
  address = '';
  port = 0;

  static async start() {
    const one = new Program();
    one.folder = await mkdtemp(join(tmpdir(), 'waterkey-e2e-'));
    await one.up();
    return one;
  }

  /** Starts it on its folder; on the same port as before, if there was one. */
  async up() {
    const child = spawn(binary, ['serve', '--port', String(this.port), '--data', this.folder, '--print-address'], { stdio: ['ignore', 'pipe', 'inherit'] });
    this.#child = child;
    this.address = await new Promise((up, down) => {
      let said = '';
      child.stdout.on('data', (text) => {
        said += text;
        const found = /http:\/\/[^\s/]+/.exec(said);
        if (found) up(found[0]);
      });
      child.once('exit', (code) => down(new Error(`the program ended with ${code}: ${said}`)));
    });
    this.port = Number(new URL(this.address).port);
  }

  /** Ends it at once, as a power cut would. */
  async kill() {
    const child = this.#child;
    this.#child = null;
    if (!child || child.exitCode !== null) return;
    const gone = new Promise((end) => child.once('exit', end));
    child.kill('SIGKILL');
    await gone;
  }

  async close() {
    await this.kill();
    await rm(this.folder, { recursive: true, force: true });
  }

  /** A question straight to the server, beside the page. */
  async ask(method, path, json) {
    const session = await fetch(`${this.address}/api/session`);
    const { token } = await session.json();
    const cookie = session.headers.getSetCookie().map((one) => one.split(';')[0]).join('; ');
    const answer = await fetch(this.address + path, { method, headers: { cookie, 'x-waterkey-token': token, ...(json ? { 'content-type': 'application/json' } : {}) }, body: json ? JSON.stringify(json) : undefined });
    if (!answer.ok) throw new Error(`${method} ${path}: ${answer.status} ${await answer.text()}`);
    return answer.status === 204 ? undefined : answer.json();
  }

  /** A program built without its page (or, when told so, any) gets the page built beside it, under the same policy. */
  async lend(context, always = false) {
    const front = await fetch(this.address);
    if (!always && (front.headers.get('content-type') ?? '').includes('html')) return;
    await context.route((where) => where.origin === this.address && !where.pathname.startsWith('/api'), async (route) => {
      const { pathname } = new URL(route.request().url());
      const name = pathname === '/' ? 'index.html' : pathname.slice(1);
      try {
        await route.fulfill({ body: await readFile(join(dist, name)), headers: { 'content-type': kinds[extname(name)] ?? 'application/octet-stream', 'content-security-policy': policy } });
      } catch {
        await route.fulfill({ status: 404, body: '' });
      }
    });
  }
}
