// The page in Firefox: it starts, nothing is cut off, every stroke lights once for itself. A machine without a speaker gives Firefox no
// sound; the page's clock stands in for the sound's.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { modules } from './browser.mjs';
import { data, pages } from './help.mjs';
import { misplaced } from './places.mjs';

const { default: puppeteer } = await import(modules.resolve('puppeteer-core'));
const firefox = await puppeteer.launch({ browser: 'firefox', executablePath: process.env.FIREFOX ?? '/usr/bin/firefox-esr', headless: true });
after(() => firefox.close());

/** Opens a page, and sees that it was quiet. */
async function open(name, viewport, act) {
  const page = await firefox.newPage();
  const complaints = [];
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.setViewport(viewport);
  await page.evaluateOnNewDocument(() => {
    Object.defineProperty(BaseAudioContext.prototype, 'currentTime', { get: () => performance.now() / 1000 });
    Object.defineProperty(BaseAudioContext.prototype, 'state', { get: () => 'running' });
    AudioContext.prototype.resume = () => Promise.resolve();
  });
  try {
    await page.goto(`file://${join(pages(), `${name}.html`)}`);
    await act(page);
    assert.deepEqual(complaints, [], `${name} is quiet`);
  } finally {
    await page.close();
  }
}

test('nothing is cut off or lies over something else', async () => {
  for (const name of ['sea-grape-road-lead', 'sea-grape-road-bass', 'slow-water-cello', 'kit']) {
    for (const [width, height] of [[360, 640], [390, 844], [640, 360], [768, 1024], [1280, 800]]) {
      await open(name, { width, height }, async (page) => {
        await new Promise((done) => setTimeout(done, 200));
        assert.deepEqual(await page.evaluate(misplaced), [], `${name} at ${width}`);
      });
    }
  }
});

test('every stroke lights once for itself, and what comes next is always ringed', async () => {
  await open('jetty-jam-guitar', { width: 390, height: 844 }, async (page) => {
    const press = (selector) => page.evaluate((selector) => document.querySelector(selector).click(), selector);
    for (const selector of ['#counted', '#choose', '#numbers [data-bar="0"]', '#numbers [data-bar="3"]']) await press(selector);
    await page.evaluate(() => {
      window.lit = [];
      window.dark = 0;
      const was = new Map();
      const look = () => {
        for (const note of document.querySelectorAll('#face .note')) {
          const on = note.classList.contains('now') || note.classList.contains('held');
          if (on && !was.get(note)) window.lit.push(note.dataset.key);
          was.set(note, on);
        }
        if (!document.querySelector('#face .note.next') && document.getElementById('next-note').textContent !== 'the end') window.dark++;
        requestAnimationFrame(look);
      };
      look();
    });
    await press('#play');
    await page.waitForFunction(() => document.getElementById('play').textContent === 'Pause');
    await page.waitForFunction(() => document.getElementById('play').textContent === 'Play', { timeout: 40_000 });
    const { lit, dark } = await page.evaluate(() => ({ lit: window.lit, dark: window.dark }));
    const { bars, onsets } = data('jetty-jam-guitar').score;
    const struck = onsets[0].filter(({ at }) => at < bars[3].end).flatMap(({ struck }) => struck);
    assert.deepEqual(lit.sort(), struck.sort());
    assert.equal(dark, 0);
  });
});
