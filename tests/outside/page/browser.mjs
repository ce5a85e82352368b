// Pages in Chromium, opened from a file. Whatever a page asks of anybody, and whatever it complains of, fails the test.

import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pages } from './help.mjs';

/** Where playwright-core and axe-core lie; see .ci/run. */
export const modules = createRequire(join(process.env.PAGE_MODULES ?? '.', 'here.js'));
const { chromium } = modules('playwright-core');

const FLAGS = [
  ...['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
  ...['--disable-component-update', '--disable-sync', '--autoplay-policy=no-user-gesture-required'],
];

let running;

/** The browser, started once. */
export async function browser() {
  running ??= chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: FLAGS });
  return running;
}

export async function close() {
  await (await running)?.close();
  running = undefined;
}

/**
 * Opens a page, does something with it, and sees that it was quiet.
 *
 * @param {string} name
 * @param {{before?: any, beforeWith?: any, options?: object, asks?: RegExp, loud?: boolean}} how before: a function that runs in the page before its own
 * script; asks: what it may ask for besides itself; loud: whether it may complain
 * @param {(page: any) => Promise<void>} act
 */
export async function open(name, { before, beforeWith, options, asks, loud } = {}, act) {
  const context = await (await browser()).newContext({ viewport: { width: 360, height: 640 }, ...options });
  const page = await context.newPage();
  const complaints = [];
  const address = `file://${join(pages(), `${name}.html`)}`;
  page.on('console', (message) => complaints.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => complaints.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => {
    complaints.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on('request', (request) => {
    // A picture within the page (data:) is no request.
    const url = request.url();
    if (url !== address && !url.startsWith('data:') && !asks?.test(url)) complaints.push(`request: ${url}`);
  });
  await page.addInitScript(() => {
    document.addEventListener('securitypolicyviolation', (event) => console.error(`policy: ${event.violatedDirective}`));
  });
  if (before) await page.addInitScript(before, beforeWith);
  try {
    await page.goto(address);
    await act(page);
    if (!loud) assert.deepEqual(complaints, [], `${name} is quiet`);
  } finally {
    await context.close();
  }
}

/**
 * Runs in the page before its script: its sound is rendered without a sound card, in steps, while the page's timers run as they
 * do; then `window.rendered` is the sound. What is scheduled is noted in `window.starts`.
 *
 * @param {{seconds: number}} how
 */
export function offline({ seconds }) {
  const rate = 44_100;
  const STEP = 0.4;
  window.starts = [];
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (...when) {
    window.starts.push({ when: when[0], now: this.context.currentTime });
    return start.apply(this, when);
  };
  window.AudioContext = class extends OfflineAudioContext {
    constructor() {
      super(2, seconds * rate, rate);
      this.outputLatency = 0;
      window.context = this;
    }
    // Rendering in steps is no interruption.
    get state() {
      return 'running';
    }
    resume() {
      if (!window.rendering) {
        for (let at = STEP; at < seconds; at += STEP) {
          // Three of the page's timers pass before the sound goes on.
          void this.suspend(at).then(() => setTimeout(() => super.resume(), 300));
        }
        window.rendering = this.startRendering().then((buffer) => (window.rendered = buffer));
      }
      return Promise.resolve();
    }
  };
}

/** Begins without a count-in. */
export async function uncounted(page) {
  if ((await page.getAttribute('#counted', 'aria-pressed')) === 'true') await page.click('#counted');
}

/** Chooses bars of the tune, counted from 0, up to, not including, `last`: two taps. */
export async function choose(page, first, last) {
  await page.click('#choose');
  await page.click(`#numbers [data-bar="${first}"]`);
  await page.click(`#numbers [data-bar="${last - 1}"]`);
}

/** Chooses all bars of a section as played. */
export async function section(page, number) {
  await page.click('#choose');
  await page.click(`#street [data-form="${number}"]`);
  await page.click(`#street [data-form="${number}"]`);
}

/** The samples of what {@link offline} rendered, left and right added, once it is there. */
export async function samples(page) {
  const text = await page.evaluate(async () => {
    const buffer = await window.rendering;
    const [left, right] = [buffer.getChannelData(0), buffer.getChannelData(1)];
    const mono = new Float32Array(left.length);
    for (let i = 0; i < mono.length; i++) mono[i] = (left[i] + right[i]) / 2;
    const bytes = new Uint8Array(mono.buffer);
    let out = '';
    for (let i = 0; i < bytes.length; i += 32_768) out += String.fromCharCode(...bytes.subarray(i, i + 32_768));
    return btoa(out);
  });
  const bytes = Buffer.from(text, 'base64');
  return new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
}
