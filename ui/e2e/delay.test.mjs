// From the microphone to the picture: tones in the microphone's file, and the painted frames that show them.
// The figures are printed, not judged: a busy machine is no fault of the program.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { browser, page as open } from './browser.mjs';
import { delaysOf, spread, watch } from './delay.mjs';
import { binary, Program } from './program.mjs';
import { rate, wav } from './sound.mjs';
import { standIn } from './stand-in/server.mjs';
import { studio } from './stand-in/studio.mjs';

const tones = Number(process.env.WATERKEY_TONES ?? 30);
const hz = 466.16;
const tone_s = 0.25;
const quiet_s = 0.35;
const attack_s = 0.005;
const peak = 0.3;
const lead_s = 4;

/** Tones with a sharp start, at uneven distances so that they keep no step with the frames of the screen. */
function sound() {
  const starts = Array.from({ length: tones }, (_, n) => lead_s + n * (tone_s + quiet_s) + ((n * 7919) % 97) / 1000);
  const samples = new Float32Array(Math.ceil((starts.at(-1) + tone_s + 2) * rate));
  for (const start of starts) {
    const from = Math.round(start * rate);
    for (let k = 0; k < tone_s * rate; k++) {
      const t = k / rate;
      const shape = Math.min(1, t / attack_s, (tone_s - t) / 0.03);
      let wave = 0;
      for (let h = 1; h <= 6; h++) wave += Math.sin(2 * Math.PI * hz * h * t) / h;
      samples[from + k] = (peak / 1.9) * shape * wave;
    }
  }
  return { samples, end_s: samples.length / rate };
}

async function measure(address, lend) {
  const folder = await mkdtemp(join(tmpdir(), 'waterkey-delay-'));
  const file = join(folder, 'tones.wav');
  const { samples, end_s } = sound();
  await wav(file, samples);
  const chrome = await browser(file);
  const context = await chrome.newContext({ viewport: { width: 1280, height: 900 }, permissions: ['microphone'], serviceWorkers: 'block', locale: 'en-GB' });
  await lend?.(context);
  const { page, wrong } = await open(context);
  await page.addInitScript(watch, { peak, quiet_s: 0.1 });
  await page.goto(`${address}/#/play/free`);
  await page.getByRole('button', { name: 'Start listening' }).click();
  await page.getByText('ms from horn to picture').waitFor();
  await page.waitForFunction((until) => Number(document.querySelector('[data-at]')?.dataset.at) >= until, end_s - lead_s / 2, { timeout: 120_000 });
  const own = Number(await page.locator('[data-delay]').getAttribute('data-delay'));
  const seen = await page.evaluate(() => window.delaysSeen);
  await page.getByRole('button', { name: 'Drop this take' }).click();
  assert.deepEqual(wrong, []);
  await context.close();
  await chrome.close();
  await rm(folder, { recursive: true, force: true });
  return { seen, own };
}

function told(what, { seen, own }) {
  const figures = (came) => {
    const { median, p95, most } = spread(delaysOf(seen, came, 500));
    return `median ${median.toFixed(1)} ms, p95 ${p95.toFixed(1)} ms, most ${most.toFixed(1)} ms`;
  };
  const { count } = spread(delaysOf(seen, seen.shown, 500));
  console.log(`# ${what}: ${count} of ${seen.onsets.length} tones shown`);
  console.log(`#   tone in to block sent      ${figures(seen.sent)}`);
  console.log(`#   tone in to pitch told      ${figures(seen.told)}`);
  console.log(`#   tone in to frame painted   ${figures(seen.shown)}; the page's own p95 ${own.toFixed(1)} ms`);
}

/** The made-up microphone skips on a busy machine and drowns tones: how many is printed, that they are shown is judged. */
function someSeen({ seen }) {
  assert.ok(seen.onsets.length > 0, 'tones went in');
  assert.ok(seen.shown.length > 0, 'tones are shown');
}

test('tones are seen: the way alone, against an ear that answers at once', { timeout: 180_000 }, async () => {
  const server = await standIn(studio(), {}, ({ samples: block }) => ({ f0_hz: Math.max(...block) > peak / 20 ? hz : null }));
  const it = await measure(server.address);
  server.heard.close();
  await server.close();
  told('the way alone', it);
  someSeen(it);
});

test('tones are seen: the whole program', { skip: binary ? false : 'WATERKEY_BIN names no program: build waterkey and set it', timeout: 180_000 }, async () => {
  const program = await Program.start();
  const it = await measure(program.address, (context) => program.lend(context));
  await program.close();
  told('the whole program', it);
  someSeen(it);
});
