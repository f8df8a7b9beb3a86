// Keeps the shell (page, styles, scripts, fonts, icons) so that the page opens at once. Never touches what players make: /api is not its business.
const worker = self as unknown as ServiceWorkerGlobalScope;
interface ExtendableEvent extends Event {
  waitUntil(promise: Promise<unknown>): void;
}
interface FetchEvent extends ExtendableEvent {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface ServiceWorkerGlobalScope {
  addEventListener(type: 'install' | 'activate', heard: (event: ExtendableEvent) => void): void;
  addEventListener(type: 'fetch', heard: (event: FetchEvent) => void): void;
  skipWaiting(): Promise<void>;
  readonly clients: { claim(): Promise<void> };
}

const shelf = 'waterkey-shell-1';

async function fill(): Promise<void> {
  const cache = await caches.open(shelf);
  const page = await fetch('/', { cache: 'no-cache' });
  if (!page.ok) return;
  const text = await page.clone().text();
  await cache.put('/', page);
  const named = [...text.matchAll(/(?:src|href)="(\/[^"]+)"/g)].map((found) => found[1] ?? '/');
  await cache.addAll([...new Set(named)]);
}

/** Files with a hash in their name never change: once kept, always good. */
async function fixed(request: Request): Promise<Response> {
  const cache = await caches.open(shelf);
  const held = await cache.match(request);
  if (held) return held;
  const answer = await fetch(request);
  if (answer.ok) await cache.put(request, answer.clone());
  return answer;
}

/** The page itself: the newest if the server answers, otherwise the one kept. */
async function page(request: Request): Promise<Response> {
  try {
    const answer = await fetch(request);
    if (answer.ok) {
      const cache = await caches.open(shelf);
      await cache.put('/', answer.clone());
    }
    return answer;
  } catch {
    return (await caches.match('/')) ?? Response.error();
  }
}

worker.addEventListener('install', (event) => event.waitUntil(fill().then(() => worker.skipWaiting())));
worker.addEventListener('activate', (event) =>
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name !== shelf).map((name) => caches.delete(name))))
      .then(() => worker.clients.claim()),
  ),
);
worker.addEventListener('fetch', (event) => {
  const where = new URL(event.request.url);
  if (event.request.method !== 'GET' || where.origin !== location.origin || where.pathname.startsWith('/api')) return;
  if (event.request.mode === 'navigate') event.respondWith(page(event.request));
  else if (/^\/(assets|icon|manifest)/.test(where.pathname)) event.respondWith(fixed(event.request));
});
