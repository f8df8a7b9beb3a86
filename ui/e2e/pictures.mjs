// Takes a picture of every page at 390 and 1280 pixels by day and night, to be looked at: `node e2e/pictures.mjs [page …]`.
import { mkdir } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { browser, page as open } from './browser.mjs';
import { standIn } from './stand-in/server.mjs';
import { studio } from './stand-in/studio.mjs';

const folder = fileURLToPath(new URL('./pictures/', import.meta.url));
await mkdir(folder, { recursive: true });
const asked = process.argv.slice(2);
const all = ['horn', 'horn/trombone-tenor', 'routine', 'routine/under-one-roof', 'play', 'play/under-one-roof', 'take', 'take/t1', 'player', 'settings'];
const server = process.env.WATERKEY_ADDRESS ? { address: process.env.WATERKEY_ADDRESS, close: async () => {} } : await standIn(studio());
const chrome = await browser();
for (const [width, height] of [[390, 844], [1280, 860]]) {
  for (const light of ['light', 'dark']) {
    const context = await chrome.newContext({ viewport: { width, height }, colorScheme: light, reducedMotion: 'reduce', serviceWorkers: 'block' });
    const { page, wrong } = await open(context);
    for (const place of asked.length ? asked : all) {
      await page.goto(`${server.address}/#/${place}`);
      await page.waitForTimeout(900);
      await page.screenshot({ path: `${folder}${place.replace(/[^a-z0-9]+/gi, '-')}-${width}-${light}.png`, fullPage: true });
    }
    if (wrong.length) console.log(width, light, wrong.slice(0, 5));
    await context.close();
  }
}
await chrome.close();
await server.close();
