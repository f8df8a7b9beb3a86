// From the microphone to the line in a real browser: every sample arrives, in order, unprocessed, a cut line included.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { browser, page as open } from './browser.mjs';
import { rate, wav } from './sound.mjs';
import { standIn } from './stand-in/server.mjs';
import { studio } from './stand-in/studio.mjs';

const hz = 440;
const peak = 0.5;
const seconds = 6;
const lead = 0.5;

// The browser's made-up microphone skips a little when the machine is busy, before the page sees the
// sound. A path that loses samples loses them in every take; one whole take shows that it does not.
const takes = 3;
const whole_cents = 0.01;

test('a tone reaches the line sample for sample, and a cut line loses none of it', { timeout: 240_000 }, async () => {
  let off_cents = NaN;
  for (let n = 0; n < takes && !(Math.abs(off_cents) < whole_cents); n++) off_cents = await take();
  assert.ok(Math.abs(off_cents) < whole_cents, `${off_cents} cents off`);
});

// Records the tone with a cut in the line; gives how far the frequency that arrived is off, in cents.
async function take() {
  const folder = await mkdtemp(join(tmpdir(), 'waterkey-live-'));
  const file = join(folder, 'tone.wav');
  const samples = new Float32Array(seconds * rate);
  for (let n = Math.round(lead * rate); n < samples.length; n++) samples[n] = peak * Math.sin((2 * Math.PI * hz * n) / rate);
  await wav(file, samples);
  const server = await standIn(studio(), {}, ({ samples: block }) => ({ f0_hz: Math.max(...block) > 0.1 ? hz : null }));
  const chrome = await browser(file);
  const context = await chrome.newContext({ permissions: ['microphone'], serviceWorkers: 'block', locale: 'en-GB' });
  const { page, wrong } = await open(context);
  await page.goto(`${server.address}/#/play/free`);
  await page.getByRole('button', { name: 'Start listening' }).click();
  await page.getByText('ms from horn to picture').waitFor();
  await page.waitForTimeout(1500);
  const delay = Number(await page.locator('[data-delay]').getAttribute('data-delay'));
  if (process.env.WATERKEY_PICTURES) await page.screenshot({ path: join(process.env.WATERKEY_PICTURES, 'live.png'), fullPage: true });
  server.heard.cut();
  await page.getByText('The line broke.').waitFor();
  await page.getByText('The line broke.').waitFor({ state: 'detached' });
  await page.waitForTimeout(1500);
  await page.getByRole('button', { name: 'Finish the take' }).click();
  await page.getByRole('link', { name: 'Look at the take' }).waitFor();

  const { blocks, starts, resumes, gaps } = server.heard;
  assert.deepEqual([starts.length, resumes, gaps], [1, 1, 0]);
  assert.equal(starts[0].format, 'f32');
  let expected = 0;
  for (const block of blocks) {
    assert.equal(block.first, expected, 'the blocks follow each other without a hole');
    expected += block.samples.length;
  }
  // The tone as it came: its peak and its frequency, from the phase at both ends of a long stretch.
  const all = Float32Array.from(blocks.flatMap((block) => [...block.samples]));
  const onset = all.findIndex((one) => Math.abs(one) > 0.05) + Math.round(0.1 * starts[0].sample_rate);
  const stretch = all.subarray(onset, onset + 2 * starts[0].sample_rate);
  const phase = (from, count) => {
    let [re, im] = [0, 0];
    for (let n = from; n < from + count; n++) {
      re += stretch[n] * Math.cos((2 * Math.PI * hz * n) / starts[0].sample_rate);
      im -= stretch[n] * Math.sin((2 * Math.PI * hz * n) / starts[0].sample_rate);
    }
    return Math.atan2(im, re);
  };
  const count = starts[0].sample_rate / 10;
  const turn = phase(stretch.length - count, count) - phase(0, count);
  const off_cents = 1200 * Math.log2(1 + Math.atan2(Math.sin(turn), Math.cos(turn)) / (2 * Math.PI * hz * 1.9));
  const loudest = stretch.reduce((most, one) => Math.max(most, Math.abs(one)), 0);
  assert.ok(Math.abs(loudest - peak) < 0.005, `peak ${loudest}`);
  assert.deepEqual(wrong.filter((one) => !/WebSocket/.test(one)), []);
  console.log(`# ${blocks.length} blocks, ${(all.length / starts[0].sample_rate).toFixed(2)} s, block to picture p95 ${delay.toFixed(1)} ms`);
  await context.close();
  await chrome.close();
  server.heard.close();
  await server.close();
  await rm(folder, { recursive: true, force: true });
  return off_cents;
}
