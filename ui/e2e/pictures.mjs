// Pictures of every page to be looked at, at three widths, by day and night, in both languages: `node e2e/pictures.mjs [page …]`.
// WATERKEY_ADDRESS names a running program with a filled studio (else a stand-in); the page itself comes from `dist`.
// WATERKEY_PICTURES names the folder, LOOKS the views (such as `390-dark-de`); AXE=1 checks each view for accessibility too.
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { AxeBuilder } from '@axe-core/playwright';
import { browser, page as open } from './browser.mjs';
import { Program } from './program.mjs';
import { standIn } from './stand-in/server.mjs';
import { studio } from './stand-in/studio.mjs';

const asked = process.argv.slice(2);
const folder = process.env.WATERKEY_PICTURES ?? fileURLToPath(new URL('./pictures/', import.meta.url));
await mkdir(folder, { recursive: true });
const server = process.env.WATERKEY_ADDRESS ? null : await standIn(studio());
const program = new Program();
program.address = process.env.WATERKEY_ADDRESS ?? server.address;
const { address } = program;
const { takes } = await program.ask('GET', '/api/takes');
const players = await program.ask('GET', '/api/players');
const lessons = await program.ask('GET', '/api/lessons');
const places = asked.length ? asked : ['horn', 'horn/trombone-tenor', 'routine', 'routine/arpeggios-one-roof-major', 'play', 'play/arpeggios-one-roof-major', 'play/free', 'take', `take/${takes.find((one) => one.exercise)?.id}`, `player/${players[0]?.id}`, 'settings', 'book', ...(lessons[0] ? [`lesson/${lessons[0].id}`] : [])];
const views = (process.env.LOOKS ?? '390-light-en 390-dark-de 1280-light-en 1280-dark-de 1920-light-de').split(' ');
const chrome = await browser();
for (const view of views) {
  const [width, colorScheme, language] = view.split('-');
  const context = await chrome.newContext({ viewport: { width: Number(width), height: width === '390' ? 844 : 900 }, colorScheme, reducedMotion: 'reduce', serviceWorkers: 'block', locale: language === 'de' ? 'de-DE' : 'en-GB' });
  if (!server) await program.lend(context, true);
  const { page, wrong } = await open(context);
  page.on('response', (answer) => answer.status() >= 400 && console.log(view, answer.status(), answer.url()));
  for (const place of places) {
    await page.goto(`${address}/#/${place}`);
    await page.locator('h1').first().waitFor({ timeout: 60_000 }).catch(() => console.log(view, place, 'has no heading'));
    await page.waitForFunction(() => document.querySelector('.waiting') === null, undefined, { timeout: 60_000 }).catch(() => console.log(view, place, 'still waits'));
    await page.waitForTimeout(700);
    if (place.startsWith('take/')) {
      await page.locator('[data-id] button').nth(3).click().catch(() => {});
      await page.waitForTimeout(1200);
    }
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (over > 0) console.log(view, place, `${over} px too wide`);
    if (process.env.AXE) {
      const { violations } = await new AxeBuilder({ page }).withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']).analyze();
      for (const one of violations) console.log(view, place, one.impact, one.id, one.nodes.map((node) => node.target).join(' ').slice(0, 200));
    }
    const name = place.split('/').map((part, n) => (n > 0 && /^[0-9a-f-]{20,}$/.test(part) ? 'one' : part)).join('-');
    await page.screenshot({ path: join(folder, `${name}-${view}.png`), fullPage: true });
  }
  if (wrong.length) console.log(view, [...new Set(wrong)].slice(0, 5));
  await context.close();
}
await chrome.close();
await server?.close();
