// Nothing fails without a sentence that says what to do: no script, an old browser, no sound, sound that can't be read or is interrupted.

import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { close, open, uncounted } from './browser.mjs';
import { pages } from './help.mjs';

after(close);

const NAME = 'steps-lead';

/** What the page says is wrong, if that can be seen. */
async function said(page) {
  const box = await page.locator('#trouble').boundingBox();
  return box && box.height > 20 && box.y < 640 ? page.locator('#trouble').textContent() : null;
}

test('a page that works says nothing of trouble', async () => {
  await open(NAME, {}, async (page) => {
    assert.equal(await said(page), null);
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'), null, { timeout: 10_000 });
    assert.equal(await said(page), null);
  });
});

test('without a script there are the pan, the bars, and what to do', async () => {
  await open(NAME, { options: { javaScriptEnabled: false } }, async (page) => {
    assert.match(await said(page), /open this file in your browser/);
    const pan = await page.locator('#face > svg').boundingBox();
    assert.ok(pan.width > 200 && pan.height > 200, `${JSON.stringify(pan)}`);
    assert.ok(await page.locator('.bar svg').first().isVisible());
    assert.ok(!(await page.locator('#play').isVisible()), 'no button that does nothing');
  });
});

/** Opens a page whose script is changed; its policy is changed alike, so that the script may run. */
async function changed(change, act) {
  const name = 'changed';
  const text = readFileSync(join(pages(), `${NAME}.html`), 'utf8').replace(/<meta http-equiv="Content-Security-Policy"[^>]*>/, '');
  writeFileSync(join(pages(), `${name}.html`), change(text));
  await open(name, { options: {}, loud: true }, act);
}

test('a browser that is too old to read the script says so', async () => {
  await changed((text) => text.replace("'use strict';\n(() => {", "'use strict';\n(() => { let of = class { #a ??; };"), async (page) => {
    assert.match(await said(page), /too old.*newer browser/);
    assert.ok(await page.locator('.bar svg').first().isVisible());
    assert.ok(!(await page.locator('#play').isVisible()));
  });
});

test('a script that fails where it starts says so', async () => {
  await changed((text) => text.replace('const page = new Page(', 'const page = new Missing('), async (page) => {
    assert.match(await said(page), /too old.*newer browser/);
  });
});

test('browsers of 2020 have all that the script asks of its lists and its texts', async () => {
  const before = () => {
    for (const name of ['findLast', 'findLastIndex', 'at', 'toSorted']) delete Array.prototype[name];
    delete String.prototype.replaceAll;
    delete Element.prototype.replaceChildren;
    delete Object.hasOwn;
    delete window.ResizeObserver;
    delete BaseAudioContext.prototype.createStereoPanner;
  };
  await open(NAME, { before }, async (page) => {
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'), null, { timeout: 10_000 });
    assert.equal(await said(page), null);
  });
});

for (const [what, before, words] of [
  ['there is no sound at all', () => {
    delete window.AudioContext;
    delete window.webkitAudioContext;
  }, /no sound.*open this file in your browser/],
  ['the sound can’t be read', () => {
    BaseAudioContext.prototype.decodeAudioData = () => Promise.reject(new Error('no such format'));
  }, /can’t play the sound.*another browser/],
]) {
  test(`where ${what}, that is said, and the lights go on`, async () => {
    await open(NAME, { before }, async (page) => {
      await uncounted(page);
      await page.click('#play');
      await page.waitForFunction(() => document.querySelector('#face .note.now'), null, { timeout: 10_000 });
      assert.match(await said(page), words);
      const [first] = await page.locator('#now-note').allTextContents();
      await page.waitForFunction((first) => document.getElementById('now-note').textContent !== first, first);
      await page.click('#play');
      assert.equal(await page.textContent('#play'), 'Go on');
    });
  });
}

test('sound that stays off asks for another tap', async () => {
  const before = () => {
    const { resume } = AudioContext.prototype;
    let asked = 0;
    AudioContext.prototype.resume = function () {
      return ++asked === 1 ? this.suspend() : resume.call(this);
    };
  };
  await open(NAME, { before }, async (page) => {
    await page.click('#play');
    await page.waitForFunction(() => !document.getElementById('trouble').hidden, null, { timeout: 10_000 });
    assert.match(await said(page), /not on yet.*once more/);
    assert.equal(await page.textContent('#play'), 'Play');
    await page.click('#play');
    await page.waitForFunction(() => document.getElementById('play').textContent === 'Pause');
    await page.waitForFunction(() => document.getElementById('trouble').hidden);
  });
});

test('sound that never comes on is told, and the lights go on', async () => {
  const before = () => {
    AudioContext.prototype.resume = function () {
      return this.suspend();
    };
  };
  await open(NAME, { before }, async (page) => {
    await uncounted(page);
    await page.click('#play');
    await page.waitForFunction(() => document.getElementById('trouble').textContent.includes('once more'), null, { timeout: 10_000 });
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'), null, { timeout: 10_000 });
    assert.match(await said(page), /does not start on this device.*headphones/);
  });
});

test('a call that interrupts is told, and a tap goes on from there', async () => {
  const before = () => {
    window.AudioContext = class extends AudioContext {
      constructor() {
        super();
        window.context = this;
      }
    };
  };
  await open(NAME, { before }, async (page) => {
    await uncounted(page);
    await page.click('#play');
    await page.waitForFunction(() => /^bar 2 /.test(document.getElementById('where').textContent), null, { timeout: 10_000 });
    await page.evaluate(() => window.context.suspend());
    await page.waitForFunction(() => !document.getElementById('trouble').hidden);
    assert.match(await said(page), /interrupted.*Tap Go on/);
    assert.equal(await page.textContent('#play'), 'Go on');
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'));
    assert.equal(await said(page), null);
    assert.match(await page.textContent('#where'), /^bar 2 /);
  });
});

test('the screen is kept on anew when the player comes back to the page', async () => {
  const before = () => {
    window.asked = 0;
    Object.defineProperty(navigator, 'wakeLock', {
      value: {
        request() {
          window.asked++;
          window.sentinel = { released: false, release: () => Promise.resolve() };
          return Promise.resolve(window.sentinel);
        },
      },
    });
  };
  await open(NAME, { before }, async (page) => {
    await page.click('#play');
    await page.waitForFunction(() => document.getElementById('play').textContent === 'Pause');
    await page.waitForFunction(() => window.asked === 1);
    await page.evaluate(() => {
      window.sentinel.released = true;
      document.dispatchEvent(new Event('visibilitychange'));
    });
    await page.waitForFunction(() => window.asked === 2);
  });
});
