// A whole session as a person, with the real program and a file for a microphone. Needs WATERKEY_BIN and Chromium.
import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { promisify } from 'node:util';
import { browser, page as open } from './browser.mjs';
import { binary, Program } from './program.mjs';
import { lead_s, notesOf, render, wav } from './sound.mjs';

const run = promisify(execFile);
const skip = binary ? false : 'WATERKEY_BIN names no program: build waterkey and set it';
const nadia = { name: 'Nadia', instrument: 'trumpet-bflat', reading: null, level: null, floor: null, roof: null, stretch_floor: null, stretch_roof: null, pedals: false, minutes_a_day: 30, load_a_day: null, words: '' };
/** What the player is off by, note after note: figures the page must show again. */
const detune = [0, 9, -14, 5, -7];

/** The same values throughout. Numbers that were read back from the store may differ in their last binary digit. */
function same(one, other, where) {
  if (typeof one === 'number' && typeof other === 'number') return assert.ok(Math.abs(one - other) <= 1e-14 * Math.abs(one), `${where}: ${one} and ${other}`);
  if (typeof one !== 'object' || one === null) return assert.equal(one, other, where);
  assert.deepEqual(Object.keys(one).sort(), Object.keys(other ?? {}).sort(), where);
  for (const key of Object.keys(one)) same(one[key], other[key], `${where}.${key}`);
}

let program;
let exercise;
let part;
let played;
let sound;
let chrome;
before(async () => {
  if (skip) return;
  program = await Program.start();
  // The exercise whose first line is over soonest, long enough for every note to settle.
  for (const one of await program.ask('GET', '/api/exercises')) {
    const { part: its } = await program.ask('POST', '/api/parts', { exercise: one.id, player: nadia });
    const notes = its.lines[0] ? notesOf(its.lines[0], detune) : [];
    const seconds = notes.reduce((sum, note) => sum + note.seconds, 0);
    if (notes.length < 4 || notes.some((note) => note.seconds < 0.4) || seconds > (played?.seconds ?? 12)) continue;
    [exercise, part, played] = [one, its, { notes, seconds }];
  }
  assert.ok(played, 'no exercise of the library has a short first line');
  sound = join(program.folder, 'microphone.wav');
  played.seconds = await wav(sound, render(played.notes));
});
after(async () => {
  await chrome?.close();
  await program?.close();
});

test('first day: add a player, choose an exercise, play it, see it heard, find it again', { skip, timeout: 180_000 }, async () => {
  chrome = await browser(sound);
  const context = await chrome.newContext({ viewport: { width: 1280, height: 900 }, permissions: ['microphone'], locale: 'en-GB' });
  await program.lend(context);
  const { page, wrong } = await open(context);
  await page.goto(program.address);

  await page.getByRole('link', { name: 'Add a player' }).click();
  await page.getByLabel('Name').fill('Nadia');
  await page.getByLabel('Instrument').selectOption('trumpet-bflat');
  await page.getByRole('button', { name: 'Save' }).click();
  await page.getByRole('heading', { level: 1, name: 'Nadia' }).waitFor();

  await page.getByRole('link', { name: 'Play', exact: true }).click();
  await page.getByRole('link', { name: exercise.title }).first().click();
  await page.getByRole('heading', { level: 1, name: part.title }).waitFor();
  await page.getByLabel('Count-in').selectOption('0');
  await page.getByLabel('Moves on by itself').uncheck();
  await page.getByRole('button', { name: 'Start listening' }).click();
  await page.getByText('ms from horn to picture').waitFor();
  // Recorded to the end, however busy the machine is; the browser loses the first moments of the file.
  await page.waitForFunction((end_s) => Number(document.querySelector('[data-at]')?.dataset.at) >= end_s, played.seconds, { timeout: 60_000 });
  if (played.notes.some((note) => note.slurred)) await page.getByText(/nothing caught between|caught .* ms/).first().waitFor();
  const delay = Number(await page.locator('[data-delay]').getAttribute('data-delay'));
  await page.screenshot({ path: join(process.env.WATERKEY_PICTURES ?? program.folder, 'session-play.png'), fullPage: true });
  await page.getByRole('button', { name: 'Finish the take' }).click();
  await page.getByRole('link', { name: 'Look at the take' }).click();
  console.log(`# microphone to picture, 95th percentile as the page saw it: ${delay.toFixed(1)} ms`);

  // What was heard stands under each note as it was played.
  await page.getByRole('heading', { name: 'Note by note' }).waitFor({ timeout: 60_000 });
  const id = new URL(page.url()).hash.split('/')[2];
  const { report, take } = await program.ask('GET', `/api/takes/${id}`);
  assert.deepEqual(take.gaps, []);
  const heard = report.lines[0].notes;
  assert.equal(heard.length, played.notes.length);
  for (const [n, note] of played.notes.entries()) {
    assert.equal(heard[n].outcome, 'as-asked', `note ${n + 1} of ${exercise.id}`);
    assert.ok(Math.abs(heard[n].measures.pitch_cents.value - note.cents) < 3, `note ${n + 1}: played ${note.cents}, heard ${heard[n].measures.pitch_cents.value}`);
  }

  // The command line says the same of the same file, and the page shows it.
  const file = join(process.env.WATERKEY_PICTURES ?? program.folder, 'session-take.flac');
  await writeFile(file, Buffer.from(await (await fetch(`${program.address}/api/takes/${id}/audio`)).arrayBuffer()));
  const { stdout } = await run(binary, ['hear', file, '--exercise', exercise.id, '--instrument', 'trumpet-bflat', '--json'], { maxBuffer: 1 << 26 });
  const told = JSON.parse(stdout).lines.find((line) => line.id === report.lines[0].id);
  same(told.notes.map((note) => note.measures), heard.map((note) => note.measures), 'measures');
  same(told.slurs, report.lines[0].slurs, 'slurs');
  for (const note of told.notes) {
    await page.locator(`[data-id="${note.id}"] button`).click();
    await page.getByRole('img', { name: /^Pitch against/ }).waitFor();
    const cents = note.measures.pitch_cents;
    const shown = await page.locator('.head .off').first().innerText();
    // As the report writes it: half a 95 % interval, both with the decimals that it is worth.
    const half = 1.96 * cents.uncertainty;
    const digits = half < 0.095 ? 2 : half < 2 ? 1 : 0;
    assert.match(shown, new RegExp(`${Math.abs(cents.value).toFixed(digits)}\\s*± ${half.toFixed(digits)}`), `${note.id} on the page`);
  }
  await page.screenshot({ path: join(process.env.WATERKEY_PICTURES ?? program.folder, 'session-take.png'), fullPage: true });

  // The same after a fresh start of the page.
  await page.reload();
  await page.getByRole('heading', { name: 'Note by note' }).waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
  await chrome.close();
});

test('the program is killed in the middle of a take: the page says so, takes it up again, and loses nothing', { skip, timeout: 180_000 }, async () => {
  chrome = await browser(sound);
  const context = await chrome.newContext({ viewport: { width: 1280, height: 900 }, permissions: ['microphone'], locale: 'en-GB' });
  await program.lend(context);
  const { page } = await open(context);
  const before = (await program.ask('GET', '/api/takes')).total;
  await page.goto(`${program.address}/#/play/free`);
  await page.getByRole('button', { name: 'Start listening' }).click();
  await page.getByText('ms from horn to picture').waitFor();
  await page.waitForTimeout((lead_s + 1) * 1000);
  await program.kill();
  await page.getByText('The line broke.').waitFor();
  await page.waitForTimeout(700);
  await program.up();
  await page.getByText('The line broke.').waitFor({ state: 'detached', timeout: 20_000 });
  await page.waitForTimeout(1500);
  await page.getByRole('button', { name: 'Finish the take' }).click();
  await page.getByRole('link', { name: 'Look at the take' }).waitFor({ timeout: 30_000 });
  const { takes, total } = await program.ask('GET', '/api/takes');
  assert.equal(total, before + 1);
  assert.deepEqual(takes[0].gaps, [], 'everything that was held in the page was sent on');
  assert.ok(takes[0].seconds > lead_s + 3, `the take is ${takes[0].seconds} s long`);
  await context.close();
  await chrome.close();
});

test('the page prints the music and nothing else', { skip, timeout: 120_000 }, async () => {
  const { engraver } = await program.ask('GET', '/api/health');
  chrome = await browser();
  const context = await chrome.newContext({ locale: 'en-GB' });
  await program.lend(context);
  const { page } = await open(context);
  await page.goto(`${program.address}/#/routine/${exercise.id}`);
  await page.getByLabel('The rules', { exact: true }).waitFor();
  if (engraver) {
    await page.locator('svg.engraved-page').first().waitFor();
    await page.emulateMedia({ media: 'print' });
    assert.equal(await page.locator('header').first().isVisible(), false);
    assert.equal(await page.locator('svg.engraved-page').first().isVisible(), true);
  } else {
    await page.getByText('has no engraver').first().waitFor();
    assert.equal(await page.getByRole('button', { name: 'Print' }).isDisabled(), true);
  }
  await context.close();
  await chrome.close();
});
