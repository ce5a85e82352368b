// What a player sees while it plays: every stroke for itself, always what comes next, and one stream of strokes whatever is tapped.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { choose, close, open, section, uncounted } from './browser.mjs';
import { data } from './help.mjs';

after(close);

/** Notes what is seen in every picture: whether what comes next is ringed within sight, and said in large. */
function watching() {
  window.seen = [];
  const look = () => {
    const rings = [...document.querySelectorAll('#face .note.next')].map((note) => note.querySelector('.area').getBoundingClientRect());
    const dock = document.getElementById('dock').getBoundingClientRect();
    const clear = ({ left, top, right, bottom }) =>
      left >= -1 && top >= -1 && right <= innerWidth + 1 && (bottom <= dock.top + 1 || right <= dock.left + 1) && bottom <= innerHeight + 1;
    const said = document.getElementById('next-note');
    window.seen.push({
      ringed: rings.length > 0 && rings.every(clear),
      said: said.textContent,
      inSight: said.getBoundingClientRect().bottom <= innerHeight && said.getBoundingClientRect().right <= innerWidth + 1,
      count: document.getElementById('where').textContent.startsWith('count-in'),
    });
    requestAnimationFrame(look);
  };
  look();
}

test('what comes next is in sight in every picture, in the count-in and on a larger pan too', async () => {
  for (const [name, viewport] of [['sea-grape-road-bass', { width: 360, height: 640 }], ['slow-water-cello', { width: 640, height: 360 }], ['sea-grape-road-lead', { width: 390, height: 844 }], ['kit', { width: 360, height: 640 }]]) {
    for (const large of [false, true]) {
      if (large && name === 'kit') continue;
      await open(name, { options: { viewport } }, async (page) => {
        await choose(page, 1, 4);
        await page.click('#again');
        if (large) await page.click('#zoom');
        await page.evaluate(watching);
        await page.click('#play');
        await page.waitForTimeout(6500);
        const seen = await page.evaluate(() => window.seen);
        assert.ok(seen.length > 60 && seen.some(({ count }) => count) && seen.some(({ count }) => !count), `${seen.length} pictures`);
        const bad = seen.filter(({ ringed, said, inSight }) => !ringed || !inSight || said === '' || said === 'the end');
        assert.equal(bad.length, 0, `${name}, larger ${large}: ${bad.length} of ${seen.length}: ${JSON.stringify(bad[0])}`);
      });
    }
  }
});

/** Notes how often each note lights up. */
function counting() {
  window.lit = [];
  const was = new WeakMap();
  new MutationObserver((changes) => {
    for (const { target } of changes) {
      if (!target.matches('.note')) continue;
      const on = target.classList.contains('now') || target.classList.contains('held');
      if (on && !was.get(target)) window.lit.push(`${target.dataset.row ?? 0} ${target.dataset.key ?? target.dataset.mark}`);
      was.set(target, on);
    }
  }).observe(document.getElementById('face'), { subtree: true, attributes: true, attributeFilter: ['class'] });
}

test('every stroke lights once for itself', async () => {
  for (const [name, first, last] of [['slow-water-cello', 1, 5], ['sea-grape-road-second', 4, 8], ['jetty-jam-guitar', 0, 4], ['sea-grape-road-iron', 0, 3], ['kit', 0, 5]]) {
    await open(name, {}, async (page) => {
      await uncounted(page);
      await choose(page, first, last);
      await page.evaluate(counting);
      await page.click('#play');
      await page.waitForFunction(() => document.getElementById('play').textContent === 'Play', null, { timeout: 40_000 });
      const lit = await page.evaluate(() => window.lit);
      const { bars, onsets } = data(name).score;
      const [from, to] = [bars[first].at, bars[last - 1].end];
      const struck = onsets.flatMap((row, r) => row.filter(({ at }) => at >= from && at < to).flatMap(({ struck }) => struck.map((one) => `${r} ${one}`)));
      assert.deepEqual(lit.sort(), struck.sort(), name);
    });
  }
});

/** Notes which strokes are to sound, and which of them are taken back. */
function listening() {
  window.sounds = [];
  const { start, stop, disconnect } = AudioBufferSourceNode.prototype;
  AudioBufferSourceNode.prototype.start = function (when, from, lasts) {
    this.told = { when, from, stopped: Infinity };
    window.sounds.push(this.told);
    window.context = this.context;
    return start.call(this, when, from, lasts);
  };
  AudioBufferSourceNode.prototype.stop = function (when = 0) {
    this.told.stopped = Math.max(when, this.context.currentTime);
    return stop.call(this, when);
  };
  AudioBufferSourceNode.prototype.disconnect = function (...to) {
    if (this.told) this.told.stopped = Math.min(this.told.stopped, this.context.currentTime);
    return disconnect.apply(this, to);
  };
}

test('whatever is tapped at once, one stream of strokes sounds', async () => {
  const taps = {
    'Play twice': ['#play', '#play', '#play'],
    'Play, pause, play, a section': ['#play', '#play', '#play', '[data-form="0"]'],
    'sections, tempo, loop': ['[data-form="0"]', '#faster', '#again', '[data-form="0"]', '#slower', '#play', '#play'],
    'loop while it starts': ['#play', '#again', '#again', '#faster', '#again'],
  };
  for (const [what, buttons] of Object.entries(taps)) {
    await open('steps-lead', { before: listening }, async (page) => {
      await uncounted(page);
      await page.evaluate((buttons) => {
        for (const selector of buttons) document.querySelector(selector).click();
      }, buttons);
      await page.waitForFunction(() => document.getElementById('play').textContent === 'Pause' && window.sounds.length > 4, null, { timeout: 5000 });
      await page.waitForTimeout(2500);
      const { sounds, now } = await page.evaluate(() => ({ sounds: window.sounds, now: window.context.currentTime }));
      const heard = sounds.filter(({ when, stopped }) => when < now && stopped > when + 0.01).map(({ when, from }) => `${when.toFixed(4)} ${from}`);
      assert.ok(heard.length >= 4, `${what}: ${heard}`);
      assert.equal(new Set(heard).size, heard.length, `${what}: no stroke sounds twice`);
      // Each stroke of the lead comes with one of the iron on the same beat, half a second apart at the written tempo.
      const times = [...new Set(heard.map((one) => Number(one.split(' ')[0])))].sort((a, b) => a - b).slice(-3);
      times.slice(1).forEach((at, i) => assert.ok(at - times[i] > 0.4, `${what}: ${times}`));
    });
  }
});

test('pause goes on where it was, a bar plays from there, and Start begins anew', async () => {
  await open('sea-grape-road-lead', {}, async (page) => {
    const where = () => page.textContent('#where');
    await uncounted(page);
    await page.click('.bar[data-shown="6"]');
    await page.waitForFunction(() => /^bar 8 /.test(document.getElementById('where').textContent), null, { timeout: 10_000 });
    await page.click('#play');
    assert.equal(await page.textContent('#play'), 'Go on');
    const at = await where();
    await page.waitForTimeout(800);
    assert.equal(await where(), at);
    assert.ok((await page.locator('#face .note.next').count()) > 0, 'what comes next stays ringed');
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'));
    assert.match(await where(), /^bar (8|9) /);
    await page.click('#play');
    await page.click('#over');
    assert.equal(await where(), 'bar 1 of 56: bar 1 of intro');
    assert.ok(!(await page.isVisible('#over')));
  });
});

test('after a count-in it is said which bar plays, and rounds are counted', async () => {
  await open('steps-lead', {}, async (page) => {
    await choose(page, 1, 2);
    await page.click('#again');
    await page.check('#each');
    await page.locator('#tempo').fill('120');
    await page.click('#play');
    for (const round of ['round 1', 'round 2']) {
      await page.waitForFunction(() => document.getElementById('where').textContent.startsWith('count-in'), null, { timeout: 10_000 });
      await page.waitForFunction((round) => document.getElementById('step').textContent === round, round, { timeout: 10_000 });
      await page.waitForFunction(() => document.querySelector('#face .note.now'));
      assert.equal(await page.textContent('#where'), 'bar 2 of 4: bar 2 of a');
    }
  });
});

test('a tap outside the chosen bars gives all of them back', async () => {
  await open('sea-grape-road-lead', {}, async (page) => {
    await section(page, 1);
    assert.equal(await page.textContent('#stretch'), 'Bars 5 to 12');
    await page.click('#street [data-form="0"]');
    assert.equal(await page.textContent('#stretch'), 'All bars');
    assert.match(await page.textContent('#where'), /^(count-in|bar 1 )/);
  });
});

test('a tap on a note sounds it once, and a hold rolls it', async () => {
  await open('sea-grape-road-lead', { before: listening }, async (page) => {
    const box = await page.locator('#note-60 .area').boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.up();
    await page.waitForFunction(() => window.sounds.length > 0);
    await page.waitForTimeout(500);
    assert.equal(await page.evaluate(() => window.sounds.length), 1);
    await page.mouse.down();
    await page.waitForTimeout(800);
    await page.mouse.up();
    const many = await page.evaluate(() => window.sounds.length);
    assert.ok(many >= 4, `${many} strokes`);
    await page.waitForTimeout(300);
    assert.equal(await page.evaluate(() => window.sounds.length), many, 'and no longer');
    await page.focus('#face .touch[tabindex="0"]');
    await page.keyboard.press('Enter');
    assert.equal(await page.evaluate(() => window.sounds.length), many + 1);
  });
});

test('who plays along sees how it fits, who does not sees nothing', async () => {
  await open('steps-lead', {}, async (page) => {
    await uncounted(page);
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#face .note.now'));
    await page.locator('#face .note.now').dispatchEvent('pointerdown', { isPrimary: true });
    assert.equal(await page.textContent('#hit'), '');
    await page.check('#along');
    await page.click('[data-form="0"]');
    await page.waitForFunction(() => document.querySelector('#face .note.now[data-key="64"]'));
    await page.locator('#face .note[data-key="65"]').dispatchEvent('pointerdown', { isPrimary: true });
    assert.equal(await page.textContent('#hit'), 'other note');
    assert.equal(await page.locator('#face .note[data-fits]').count(), 1);
    await page.waitForFunction(() => document.getElementById('hit').textContent === '');
  });
});

test('what was practised stands on the page, and can be cleared', async () => {
  await open('steps-lead', {}, async (page) => {
    await uncounted(page);
    await choose(page, 1, 2);
    await page.locator('#tempo').fill('120');
    await page.click('#play');
    await page.waitForFunction(() => document.getElementById('play').textContent === 'Play', null, { timeout: 10_000 });
    assert.equal(await page.textContent('#done li'), 'bar 2: once, at 120 % at the fastest');
    await page.reload();
    assert.equal(await page.textContent('#done li'), 'bar 2: once, at 120 % at the fastest');
    await page.click('#forget');
    assert.equal(await page.locator('#done li').count(), 0);
    await page.reload();
    assert.equal(await page.locator('#done li').count(), 0);
  });
});
