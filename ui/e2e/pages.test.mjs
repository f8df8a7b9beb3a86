// Every page in a real browser against an invented studio: accessible, within the content policy, whole at every width, honest in every state.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { AxeBuilder } from '@axe-core/playwright';
import { browser, page as open } from './browser.mjs';
import { standIn } from './stand-in/server.mjs';
import { emptyStudio, studio } from './stand-in/studio.mjs';

const places = ['horn', 'horn/trombone-tenor', 'routine', 'routine/under-one-roof', 'play', 'play/under-one-roof', 'play/free', 'take', 'take/t1', 'take/t3', 'player', 'settings', 'book', 'lesson/l1'];
let chrome;
before(async () => (chrome = await browser()));
after(() => chrome.close());

/** Runs something on a fresh page of a stand-in, and fails if anything went wrong in the page. */
async function on(server, how, run) {
  const context = await chrome.newContext({ viewport: { width: 1280, height: 860 }, reducedMotion: 'reduce', serviceWorkers: 'block', locale: 'en-GB', ...how });
  const { page, wrong } = await open(context);
  try {
    await run(page, wrong);
  } finally {
    await context.close();
    await server.close();
  }
}
/** Nothing on the page is still on its way. A sound file may be: browsers leave its loading open. */
const settled = async (page) => {
  await page.waitForTimeout(150);
  await page.waitForFunction(() => document.querySelector('.waiting') === null);
  await page.waitForTimeout(250);
};
const go = async (page, server, place) => {
  await page.goto(`${server.address}/#/${place}`);
  await page.locator('h1').first().waitFor();
  await settled(page);
};

for (const [width, colorScheme] of [[390, 'light'], [1280, 'dark'], [1280, 'light'], [390, 'dark']]) {
  test(`every page is accessible and fits ${width} px, ${colorScheme}`, async () => {
    const server = await standIn(studio());
    await on(server, { viewport: { width, height: 860 }, colorScheme }, async (page, wrong) => {
      for (const place of places) {
        await go(page, server, place);
        // WCAG 2.2 A and AA; axe-core's own rules.
        const { violations } = await new AxeBuilder({ page }).withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']).analyze();
        assert.deepEqual(violations.map((one) => `${place}: ${one.id} ${one.nodes.map((node) => node.target).join(' ')}`), []);
        const overflow = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        assert.ok(overflow <= 0, `${place} is ${overflow} px too wide at ${width}`);
      }
      assert.deepEqual(wrong, []);
    });
  });
}

test('German stands on every page', async () => {
  const server = await standIn(studio());
  await on(server, { locale: 'de-DE' }, async (page, wrong) => {
    for (const place of places) await go(page, server, place);
    assert.equal(await page.locator('html').getAttribute('lang'), 'de');
    assert.match(await page.locator('header nav').innerText(), /Übungen/);
    assert.deepEqual(wrong, []);
  });
});

test('a first day: every page says what is missing and what to do', async () => {
  const server = await standIn(emptyStudio());
  await on(server, {}, async (page, wrong) => {
    await go(page, server, 'take');
    await page.getByText('No takes yet.').waitFor();
    await go(page, server, 'play');
    await page.getByRole('link', { name: 'Add a player' }).click();
    await page.getByLabel('Name').fill('Bruno');
    await page.getByLabel('Instrument').selectOption({ label: 'Tenor trombone' });
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByRole('heading', { level: 1, name: 'Bruno' }).waitFor();
    await page.getByText('Nothing measured yet.').waitFor();
    // Removing asks nothing; undoing brings everything back.
    await page.getByRole('button', { name: 'Remove' }).click();
    await page.getByRole('button', { name: 'Undo' }).click();
    await page.getByRole('heading', { level: 1, name: 'Bruno' }).waitFor();
    assert.deepEqual(wrong, []);
  });
});

test('a server that fails is said so, with a way to try again', async () => {
  const busy = { status: 503, code: 'busy', title: 'Busy', detail: 'the store is locked' };
  const server = await standIn(studio(), { '/api/takes': busy, '/api/exercises': busy, '/api/instruments': busy });
  await on(server, {}, async (page) => {
    for (const place of ['take', 'routine', 'play', 'horn', 'take/t1', 'book']) {
      await page.goto(`${server.address}/#/${place}`);
      await page.getByRole('alert').getByText('busy').first().waitFor();
      await page.getByRole('button', { name: 'Try again' }).first().waitFor();
    }
  });
});

test('a server that does not answer leaves the page waiting, not blank', async () => {
  const server = await standIn(studio(), { '/api/takes': 'never' });
  await on(server, {}, async (page) => {
    await page.goto(`${server.address}/#/take`);
    await page.getByRole('status').getByText('Coming …').waitFor();
  });
});

test('the horn follows valves, slide and keys', async () => {
  const server = await standIn(studio());
  await on(server, {}, async (page, wrong) => {
    await go(page, server, 'horn/trumpet-bflat');
    const first = await page.locator('table').first().locator('tbody tr').nth(2).innerText();
    await page.keyboard.press('2');
    await page.locator('.hands').getByText('1 semitone down').waitFor();
    await settled(page);
    assert.notEqual(await page.locator('table').first().locator('tbody tr').nth(2).innerText(), first);
    assert.equal(await page.getByRole('button', { name: 'Valve 2' }).getAttribute('aria-pressed'), 'true');
    await page.keyboard.press('0');
    await page.locator('.hands').getByText('open tube').waitFor();
    await page.getByRole('button', { name: /partial 5/ }).press('Enter');
    assert.equal(await page.getByRole('button', { name: /partial 5/ }).getAttribute('aria-pressed'), 'true');
    await go(page, server, 'horn/trombone-tenor');
    await page.getByLabel('Slide position').focus();
    for (let n = 0; n < 25; n++) await page.keyboard.press('ArrowRight');
    assert.match(await page.getByLabel('Slide position').getAttribute('aria-valuetext'), /between 1 and 2/);
    assert.deepEqual(wrong, []);
  });
});

test('the rules are checked as one types, and the page stays while they are wrong', async () => {
  const server = await standIn(studio());
  await on(server, {}, async (page, wrong) => {
    await go(page, server, 'routine/under-one-roof');
    assert.equal(await page.locator('svg.engraved-page').count(), 1);
    const rules = page.getByLabel('The rules');
    await rules.focus();
    await page.keyboard.press('Control+End');
    await page.keyboard.type('oops = 1\n');
    await page.getByText('unknown key').waitFor();
    await page.getByText('Did you mean').waitFor();
    assert.equal(await page.locator('svg.engraved-page').count(), 1);
    await page.getByRole('button', { name: 'Line 3, column 1' }).click();
    assert.equal(await rules.evaluate((area) => area.value.slice(0, area.selectionStart).split('\n').length), 3);
    await page.getByRole('button', { name: 'Form', exact: true }).click();
    await page.getByLabel('Roof', { exact: true }).fill('G5');
    await page.getByLabel('Roof', { exact: true }).press('Tab');
    assert.match(await rules.inputValue(), /roof = "G5" {10}# nobody goes above this/);
    assert.deepEqual(wrong, []);
  });
});

test('a take opens at a note, by keyboard alone, and keeps what the teacher says', async () => {
  const server = await standIn(studio());
  await on(server, {}, async (page, wrong) => {
    await go(page, server, 'take/t1');
    const note = page.getByRole('button', { name: /^C 5, 1[01] cents flat/ }).first();
    await note.focus();
    await page.keyboard.press('Enter');
    await page.getByRole('img', { name: /^Pitch against the asked note/ }).waitFor();
    await page.getByRole('img', { name: /^Level of each partial/ }).waitFor();
    await page.getByText('partial 5 was caught for 24 ms', { exact: false }).first().waitFor();
    await page.getByLabel(/What you heard/).fill('Better than Tuesday.');
    await page.getByLabel('Who says so').fill('Mirela');
    await page.getByRole('button', { name: 'Keep this note' }).click();
    await page.getByText('Better than Tuesday.').waitFor();
    await page.getByLabel('Set beside another take').selectOption({ index: 1 });
    await page.getByText('less than its uncertainty').waitFor();
    assert.deepEqual(wrong, []);
  });
});

test('a class gets its books, and a pupil the sheet of the lesson', async () => {
  const server = await standIn(studio());
  await on(server, {}, async (page, wrong) => {
    await go(page, server, 'player');
    await page.getByRole('link', { name: 'The top stays the top' }).click();
    await page.getByRole('heading', { level: 1, name: 'The top stays the top' }).waitFor();
    await page.getByText('From C5 to E5 partial 5 was caught', { exact: false }).waitFor();
    await page.getByRole('link', { name: 'Bind its exercises' }).click();
    await page.getByRole('heading', { level: 1, name: 'Bind a book' }).waitFor();
    await page.getByRole('button', { name: 'Everybody' }).click();
    await page.getByLabel('Add a day or an exercise').selectOption('first-quarter');
    await page.getByRole('button', { name: 'A first quarter hour: earlier' }).click();
    const [book] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Make the PDF' }).click()]);
    assert.equal(book.suggestedFilename(), 'The top stays the top.pdf');
    await page.getByText('Bound: 2 books with 3 pieces each.').waitFor();
    assert.deepEqual(wrong, []);
  });
});

test('the shell opens without the server once it has been there', async () => {
  const server = await standIn(studio());
  const context = await chrome.newContext();
  const { page } = await open(context);
  await page.goto(`${server.address}/`);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.waitForFunction(async () => (await (await caches.open('waterkey-shell-1')).keys()).length > 3);
  await page.reload();
  await server.close();
  await page.goto(`${server.address}/#/take`);
  await page.reload();
  await page.getByText('The server does not answer').first().waitFor();
  assert.equal(await page.evaluate(async () => (await (await caches.open('waterkey-shell-1')).keys()).some((one) => one.url.includes('/api'))), false);
  await context.close();
});
