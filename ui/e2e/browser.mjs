// The browser the tests drive: Debian's Chromium, headless, with a file for a microphone.
import { after } from 'node:test';
import { chromium } from 'playwright-core';

export const chromiumPath = process.env.CHROMIUM ?? '/usr/bin/chromium';

/** Those that run: a test that fails leaves its own open, and the runner would wait for it for ever. */
const running = new Set();
after(() => Promise.all([...running].map((one) => one.close())));

/** Starts it; `microphone` is the path of a WAV file that is heard once. */
export async function browser(microphone) {
  const args = ['--use-fake-ui-for-media-stream', '--use-fake-device-for-media-stream', '--autoplay-policy=no-user-gesture-required'];
  if (microphone) args.push(`--use-file-for-fake-audio-capture=${microphone}%noloop`);
  // A page that the test lends to a program without one counts as coming from outside, and may not reach this machine.
  args.push('--disable-features=LocalNetworkAccessChecks');
  if (process.getuid?.() === 0) args.push('--no-sandbox');
  const one = await chromium.launch({ executablePath: chromiumPath, headless: true, chromiumSandbox: false, args });
  running.add(one);
  one.on('disconnected', () => running.delete(one));
  return one;
}

/** A page that keeps what went wrong: script errors, console errors and refusals by the content policy. */
export async function page(context) {
  const one = await context.newPage();
  const wrong = [];
  one.on('pageerror', (error) => wrong.push(String(error)));
  one.on('console', (message) => {
    if (message.type() === 'error' || /content security policy/i.test(message.text())) wrong.push(`${message.text()} ${message.location().url}`.trim());
  });
  return { page: one, wrong };
}
