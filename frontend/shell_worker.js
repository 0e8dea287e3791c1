/* Keeps the pages themselves, so that they open where the program was stopped. Answers of the program are never kept
   here and never given from here: a number on a page is one the program gave, or is marked stale by the page.
   FILES and SHELL are filled in by the build. */
const SHELL = '__SHELL__';
const FILES = ['/', ...__FILES__];

self.addEventListener('install', (event) => {
  // questions go past here where the browser can: they would be looked at for nothing, and what is dragged waits for them
  event.addRoutes?.({ condition: { urlPattern: '/api/*' }, source: 'network' })?.catch?.(() => undefined);
  event.waitUntil(
    caches
      .open(SHELL)
      .then((cache) => cache.addAll(FILES.map((path) => new Request(path, { cache: 'reload' }))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name !== SHELL).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== self.location.origin) return;
  if (request.mode === 'navigate' && pathname === '/') event.respondWith(fetch(request).catch(() => kept('/')));
  else if (FILES.includes(pathname)) event.respondWith(kept(pathname).catch(() => fetch(request)));
});

async function kept(path) {
  const found = await (await caches.open(SHELL)).match(path);
  if (!found) throw new TypeError(`${path} is not kept`);
  return found;
}
