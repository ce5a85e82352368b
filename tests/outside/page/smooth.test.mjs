// Long tunes stay smooth on slow phones, and a page may come from a server as well as from a file.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { browser, choose, close, open, uncounted } from './browser.mjs';
import { pages } from './help.mjs';

after(close);

/** Pictures a second that are smooth, by how many times slower the machine is made. */
const SMOOTH = 50;
const SLOWER = 4;

/** How often a measurement against the real clock is tried: other work on the machine must not fail it. */
const TRIES = 5;

test('640 bars play with 50 pictures a second on a machine four times slower', async () => {
  let best = 0;
  for (let attempt = 0; attempt < TRIES && best < SMOOTH; attempt++) {
    await open('long-lead', {}, async (page) => {
      const client = await page.context().newCDPSession(page);
      await uncounted(page);
      await page.click('#play');
      await client.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
      await page.waitForTimeout(2000);
      const rate = await page.evaluate(() => new Promise((done) => {
        const from = performance.now();
        let pictures = 0;
        const count = () => {
          pictures++;
          const seconds = (performance.now() - from) / 1000;
          if (seconds < 4) requestAnimationFrame(count);
          else done(pictures / seconds);
        };
        requestAnimationFrame(count);
      }));
      best = Math.max(best, rate);
    });
  }
  assert.ok(best >= SMOOTH, `${best.toFixed(1)} pictures a second`);
});

test('of 640 bars each can be reached and chosen', async () => {
  await open('long-lead', {}, async (page) => {
    await choose(page, 600, 640);
    assert.equal(await page.textContent('#stretch'), 'Bars 601 to 640');
    assert.equal(await page.textContent('#where'), 'bar 601 of 640: bar 9 of s37');
  });
});

test('a page from a server plays, and asks the server for nothing more', async () => {
  const asked = [];
  const server = createServer((request, response) => {
    asked.push(request.url);
    response.setHeader('Content-Type', 'text/html');
    response.end(readFileSync(join(pages(), 'steps-lead.html')));
  });
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  const context = await (await browser()).newContext({ viewport: { width: 360, height: 640 } });
  try {
    const page = await context.newPage();
    const { port } = /** @type {import('node:net').AddressInfo} */ (server.address());
    await page.goto(`http://127.0.0.1:${port}/page.html`);
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'), null, { timeout: 10_000 });
    assert.ok(!(await page.isVisible('#trouble')));
    assert.deepEqual(asked, ['/page.html']);
  } finally {
    await context.close();
    server.close();
  }
});
