// What a page lights, and when; that all of it can be done with the keyboard alone; that strokes keep their time while it is busy.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { close, open, section, uncounted } from './browser.mjs';
import { data, performance } from './help.mjs';

after(close);

/** How far a light may be off, in seconds. */
const LIGHT = 0.02;

/** How often a measurement against the real clock is tried: other work on the machine must not fail it. */
const TRIES = 4;

/** Notes when strokes are scheduled, when notes light up, and how the sound's clock runs beside the page's. */
function watch() {
  window.starts = [];
  window.lit = [];
  window.clocks = [];
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (...when) {
    window.context = this.context;
    window.starts.push({ when: when[0], now: this.context.currentTime });
    return start.apply(this, when);
  };
  const seen = new MutationObserver((changes) => {
    const at = window.performance.now() / 1000;
    for (const { target } of changes) {
      const now = target.classList.contains('now') || target.classList.contains('held');
      if (target.matches('#face .note') && now && !target.wasNow) window.lit.push({ at, key: target.dataset.key ?? target.dataset.mark });
      target.wasNow = now;
    }
  });
  document.addEventListener('DOMContentLoaded', () => {
    seen.observe(document.getElementById('face'), { subtree: true, attributes: true, attributeFilter: ['class'] });
    const tick = () => {
      if (window.context) window.clocks.push(window.context.currentTime - window.performance.now() / 1000);
      setTimeout(tick, 5);
    };
    tick();
  });
}

/** Plays a page for some seconds and gives how far its lights were off. */
async function lights(name, seconds, choose = async () => {}) {
  let found;
  await open(name, { before: watch }, async (page) => {
    await uncounted(page);
    await choose(page);
    await page.click('#play');
    await page.waitForTimeout(seconds * 1000);
    found = await page.evaluate(() => ({
      starts: window.starts,
      lit: window.lit,
      // The sound's clock goes in steps: the furthest that it has been ahead is the truest.
      ahead: Math.max(...window.clocks) - (window.context.outputLatency || 0),
    }));
  });
  const begin = found.starts[0].when;
  return found.lit.map(({ at, key }) => ({ at: at + found.ahead - begin, key }));
}

test('notes light up when the performance strikes them', async () => {
  const strokes = performance('steps-lead').strokes.filter(({ voice }) => voice === 0);
  let offs = [];
  for (let attempt = 0; attempt < TRIES; attempt++) {
    const lit = await lights('steps-lead', 9);
    assert.deepEqual(lit.map(({ key }) => key), strokes.map(({ key }) => String(key)));
    offs = lit.map(({ at }, i) => at - strokes[i].seconds);
    if (offs.every((off) => Math.abs(off) <= LIGHT)) break;
  }
  assert.ok(offs.every((off) => Math.abs(off) <= LIGHT), `off by ${offs.map((off) => Math.round(1000 * off))} ms`);
});

test('a note that is lit has the letter of its stick, and no other note has one', async () => {
  const [onsets] = data('steps-lead').score.onsets;
  await open('steps-lead', {}, async (page) => {
    await uncounted(page);
    await page.click('#play');
    for (const n of [0, 1, 2, 5]) {
      const key = onsets[n].struck[0];
      const lit = await page.waitForFunction((key) => {
        if (!document.querySelector(`#face .note.now[data-key="${key}"]`)) return null;
        const seen = (note) => getComputedStyle(note.querySelector('.hand')).display !== 'none';
        return [...document.querySelectorAll('#face .note')].filter(seen)
          .map((note) => [note.dataset.key, note.querySelector('.stick').textContent]).sort();
      }, key, { polling: 'raf' });
      const expected = onsets.slice(n, n + 2).map(({ struck, sticks }) => [struck[0], sticks[0]]).sort();
      assert.deepEqual(await lit.jsonValue(), expected);
    }
  });
});

test('rolls and percussion are lit too, and at another tempo in proportion', async () => {
  // A roll is lit once, when it begins; what the page shows is what the program rendered.
  const all = performance('sea-grape-road-tenor').strokes.filter(({ voice }) => voice === 2);
  const first = all.filter(({ roll }) => !roll);
  const verse = data('sea-grape-road-tenor').score.sections[1].first;
  const begin = performance('sea-grape-road-tenor').bars[verse].seconds;
  let offs = [];
  for (let attempt = 0; attempt < TRIES; attempt++) {
    const lit = await lights('sea-grape-road-tenor', 9, async (page) => {
      await page.locator('#tempo').fill('120');
      await section(page, 1);
    });
    assert.ok(lit.length >= 4);
    const expected = first.filter(({ seconds }) => seconds >= begin - 1e-6).slice(0, lit.length);
    assert.deepEqual(lit.map(({ key }) => key), expected.map(({ key }) => String(key)));
    offs = lit.map(({ at }, i) => at - (expected[i].seconds - begin) / 1.2);
    if (offs.every((off) => Math.abs(off) <= LIGHT)) break;
  }
  assert.ok(offs.every((off) => Math.abs(off) <= LIGHT), `off by ${offs.map((off) => Math.round(1000 * off))} ms`);
});

test('a page kept busy for 200 ms of every second delays and loses no stroke of the sixteenths', async () => {
  await open('sixteenths-lead', { before: watch }, async (page) => {
    await uncounted(page);
    await page.click('text=alone');
    await page.evaluate(() => {
      const busy = () => {
        const until = window.performance.now() + 200;
        while (window.performance.now() < until);
      };
      setInterval(busy, 1000);
    });
    await page.click('#play');
    await page.waitForTimeout(15_000);
    const starts = await page.evaluate(() => window.starts);
    const per = 60 / 160 / 4;
    // Each stroke of the lead comes with one of the bass on every second, and one of the iron: all are scheduled.
    const times = [...new Set(starts.map(({ when }) => Math.round((when - starts[0].when) * 1e4) / 1e4))].sort((a, b) => a - b);
    assert.ok(times.length > 140, `${times.length} sixteenths`);
    times.forEach((at, i) => assert.ok(Math.abs(at - i * per) < 0.001, `sixteenth ${i} is at ${at}`));
    const least = Math.min(...starts.map(({ when, now }) => when - now));
    assert.ok(least > 0.01, `a stroke was handed over ${least} s before it was due`);
  });
});

test('everything can be done with the keyboard alone', async () => {
  await open('sea-grape-road-lead', {}, async (page) => {
    const key = (name) => page.keyboard.press(name);
    const focused = () => page.evaluate(() => {
      const { id, name, value, dataset } = document.activeElement;
      return id || (name ? `${name}=${value}` : Object.entries(dataset).map((entry) => entry.join('=')).join());
    });
    const plays = () => page.textContent('#play');
    const until = async (name, most = 200) => {
      let presses = 0;
      for (; presses < most && (await focused()) !== name; presses++) await key('Tab');
      assert.equal(await focused(), name);
      const ring = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
      assert.notEqual(ring, 'none', `${name} shows that it has the focus`);
      return presses;
    };
    await key('Space');
    assert.equal(await plays(), 'Pause');
    await page.waitForFunction(() => document.getElementById('where').textContent.startsWith('count-in'));
    await key('Space');
    assert.equal(await plays(), 'Go on');
    await key('Home');
    assert.equal(await plays(), 'Play');
    await key('ArrowRight');
    await key('ArrowRight');
    assert.equal(await page.textContent('#where'), 'bar 3 of 56: bar 3 of intro');
    await key('ArrowLeft');
    assert.equal(await page.textContent('#where'), 'bar 2 of 56: bar 2 of intro');
    await key('-');
    assert.equal(await page.textContent('#percent'), '95 %');
    await key('+');
    assert.equal(await page.textContent('#percent'), '100 %');
    await until('zoom');
    await key('Enter');
    assert.equal(await page.getAttribute('#zoom', 'aria-pressed'), 'true');
    await key('Space');
    assert.equal(await page.getAttribute('#zoom', 'aria-pressed'), 'false');
    await until('signs');
    await key('Enter');
    assert.ok(await page.isVisible('#legend'));
    await key('Enter');
    await until('further');
    await until('choose');
    await key('Enter');
    await until('form=1');
    await key('Enter');
    assert.equal(await page.textContent('#stretch'), 'Bars 5 to 12');
    assert.equal(await page.textContent('#asked'), 'From bar 5. Now tap the last bar or section.');
    await until('form=2');
    await key('Enter');
    assert.equal(await page.textContent('#stretch'), 'Bars 5 to 20');
    assert.ok(!(await page.isVisible('#bars')), 'both ends are chosen');
    await page.focus('#choose');
    await key('Enter');
    await until('whole');
    await key('Enter');
    assert.equal(await page.textContent('#stretch'), 'All bars');
    await until('play');
    await key('Enter');
    await page.waitForFunction(() => document.querySelector('#face .note.now'));
    await key('Enter');
    assert.equal(await plays(), 'Go on');
    await until('slower');
    await key('Enter');
    assert.equal(await page.textContent('#percent'), '95 %');
    await until('faster');
    await key('Enter');
    assert.equal(await page.textContent('#percent'), '100 %');
    await until('again');
    await key('Enter');
    assert.equal(await page.getAttribute('#again', 'aria-pressed'), 'true');
    await until('counted');
    await key('Space');
    assert.equal(await page.getAttribute('#counted', 'aria-pressed'), 'false');
    await until('rows=3');
    await until('shown=20');
    await key('Enter');
    assert.match(await page.textContent('#where'), /^bar 29 of 56/);
    await page.waitForFunction(() => document.getElementById('play').textContent === 'Pause');
    for (const [group, values, from] of [['drill', ['once', 'loop', 'ladder', 'echo', 'chain'], 1], ['way', ['loud', 'band', 'alone', 'silent'], 0]]) {
      await until(`${group}=${values[from]}`);
      for (const value of values.slice(from + 1)) {
        await key('ArrowDown');
        assert.equal(await focused(), `${group}=${value}`);
        assert.ok(await page.isChecked(`input[value=${value}]`));
      }
      if (group === 'way') continue;
      await until('tempo');
      for (const [name, percent] of [['ArrowLeft', '99 %'], ['Home', '30 %'], ['End', '120 %']]) {
        await key(name);
        assert.equal(await page.getAttribute('#tempo', 'aria-valuetext'), percent.replace('%', 'percent'));
      }
    }
    await until('along');
    await key('Space');
    assert.ok(await page.isChecked('#along'));
    await until('late');
    await key('ArrowRight');
    assert.equal(await page.textContent('#late-said'), '10 ms');
  });
});

test('Play is a few presses of Tab away', async () => {
  await open('sea-grape-road-lead', {}, async (page) => {
    let presses = 0;
    for (; presses < 40 && (await page.evaluate(() => document.activeElement.id)) !== 'play'; presses++) await page.keyboard.press('Tab');
    assert.ok(presses <= 6, `${presses} presses`);
  });
});

test('what is played is told to readers of screens', async () => {
  await open('steps-lead', {}, async (page) => {
    await page.click('text=chain: one bar');
    await page.click('#play');
    for (const said of ['count-in', 'bar 1', 'bars 1 to 2']) {
      await page.waitForFunction((said) => document.getElementById('said').textContent === said, said);
    }
    await page.click('#play');
    assert.equal(await page.textContent('#said'), 'paused');
  });
});
