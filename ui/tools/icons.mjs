// Draws the icons from `public/icon.svg`: `node tools/icons.mjs`. Run again whenever the drawing changes.
import { readFile, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { browser } from '../e2e/browser.mjs';

const folder = fileURLToPath(new URL('../public/', import.meta.url));
const drawing = await readFile(`${folder}icon.svg`, 'utf8');
// A maskable icon may be cut to a circle: the drawing keeps to the middle four fifths, its ground fills the rest.
const maskable = drawing.replace(/rx="\d+"/, 'rx="0"').replace('<g id="horn">', '<g id="horn" transform="translate(51.2 51.2) scale(0.8)">');
const chrome = await browser();
for (const [name, size, source] of [['icon-180', 180, drawing], ['icon-192', 192, drawing], ['icon-512', 512, drawing], ['icon-maskable-512', 512, maskable]]) {
  const page = await chrome.newPage({ viewport: { width: size, height: size } });
  await page.setContent(`<body style="margin:0">${source.replace('<svg', `<svg width="${size}" height="${size}"`)}</body>`);
  await writeFile(`${folder}${name}.png`, await page.screenshot({ omitBackground: true }));
  await page.close();
}
await chrome.close();
