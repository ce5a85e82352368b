// Several percussion parts of one player on one page, and sections of several tempos.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { close, offline, open, samples, section, uncounted } from './browser.mjs';
import { data } from './help.mjs';

after(close);

/** What is lit: on the drawing, and in the rows of the bar that plays, as `row what` and `row column state`. */
function lit() {
  const drawn = [...document.querySelectorAll('#face .note')];
  const of = (state) => drawn.filter((note) => note.classList.contains(state)).map(({ dataset }) => `${dataset.row} ${dataset.mark}`).sort();
  const cells = (frame) => {
    if (!frame) return [];
    const all = [...frame.querySelectorAll('.cell')];
    const columns = all.filter(({ dataset }) => dataset.row === '0').length;
    return all.flatMap((cell, i) => {
      const state = ['now', 'held'].find((name) => cell.classList.contains(name));
      return state ? [`${cell.dataset.row} ${i % columns} ${state}`] : [];
    });
  };
  return {
    now: of('now'), next: of('next'), held: of('held'), again: of('again'),
    cells: cells(document.querySelector('.bar.playing')),
    large: cells(document.querySelector('#cells .first')),
  };
}

/** Plays the page of the drum set and gives what is lit, whenever that changes. */
async function watched(seconds, choose) {
  let seen = [];
  await open('kit', {}, async (page) => {
    await uncounted(page);
    await choose(page);
    await page.evaluate(`window.look = ${lit}`);
    await page.evaluate(() => {
      window.seen = [];
      const look = () => {
        const now = JSON.stringify(window.look());
        if (window.seen.at(-1) !== now) window.seen.push(now);
        requestAnimationFrame(look);
      };
      look();
    });
    await page.click('#play');
    await page.waitForTimeout(seconds * 1000);
    seen = await page.evaluate(() => window.seen);
  });
  return seen.map((text) => JSON.parse(text));
}

test('every row lights for itself, and what comes next is the soonest of them all', async () => {
  const seen = await watched(2, async () => {});
  // The first bar: kick and hat, hat, snare and hat, and so on; each in its row, all in one column.
  const first = seen.find(({ cells }) => cells.length > 0);
  assert.deepEqual(first.cells, ['0 0 now', '1 0 now', '2 0 now']);
  assert.deepEqual(first.large, first.cells);
  assert.deepEqual(first.now, ['0 x', '2 x']);
  const second = seen.find(({ cells }) => cells.includes('0 1 now'));
  assert.deepEqual(second.now, ['0 x', '2 x'], 'a stroke of a beat lasts for it');
  assert.deepEqual(second.next, ['1 x', '2 x'], 'the snare comes next, and the hat once more');
  assert.deepEqual(second.again, ['2 x']);
  const third = seen.find(({ cells }) => cells.includes('0 2 now'));
  assert.deepEqual(third.now, ['1 x', '2 x']);
});

test('a roll is held in its own row alone', async () => {
  const seen = await watched(3, (page) => section(page, 1));
  const roll = seen.find(({ held }) => held.length > 0);
  assert.deepEqual(roll.held, ['1 x']);
  assert.deepEqual(roll.cells.map((cell) => cell.split(' ')[2]), ['now', 'held', 'now']);
});

test('the tempo that the page says is that of the section', async () => {
  await open('kit', {}, async (page) => {
    const beats = () => page.textContent('#beats');
    assert.equal(await beats(), '120/min');
    assert.ok(await page.isVisible('#beats'), 'on a phone too');
    await section(page, 1);
    assert.equal(await beats(), '90/min');
    await page.locator('#tempo').fill('50');
    assert.equal(await beats(), '45/min');
    await page.locator('#tempo').fill('100');
    await page.click('#choose');
    await page.click('#whole');
    assert.equal(await beats(), '120/min');
    await uncounted(page);
    await page.click('#play');
    assert.equal(await beats(), '120/min');
    await page.waitForFunction(() => document.getElementById('beats').textContent === '90/min', null, { timeout: 20_000 });
    assert.equal(await page.textContent('#where'), 'bar 3 of 5: bar 1 of fill');
  });
});

/** The loudest sample of a way to hear the section that only the drum set plays. */
async function loudest(way) {
  let peak = 0;
  await open('kit', { before: offline, beforeWith: { seconds: 2 } }, async (page) => {
    await uncounted(page);
    await page.click(`input[value=${way}]`);
    await section(page, 1);
    await page.click('#play');
    peak = (await samples(page)).reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  });
  return peak;
}

test('my part is all of its rows', async () => {
  const { onsets, bars, sections } = data('kit').score;
  const fill = bars[sections[1].first];
  const rows = onsets.filter((row) => row.some(({ at }) => at >= fill.at && at < fill.end)).length;
  assert.equal(rows, 2, 'kick and snare play there');
  const [alone, silent] = [await loudest('alone'), await loudest('silent')];
  assert.ok(alone > 0.1 && silent < 1e-3, `alone ${alone}, silent ${silent}`);
});
