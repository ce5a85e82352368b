// Taps on the drawn pan: which stroke of the bank they sound, and how they fit what plays. And what is kept of what was practised.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Log } from '../../../src/page/log.js';
import { fit, nearest, sounds } from '../../../src/page/taps.js';
import { data as dataOf, even } from './help.mjs';

test('every note that a part plays has its own stroke of the bank', () => {
  for (const name of ['sea-grape-road-lead', 'sea-grape-road-second', 'slow-water-cello', 'kit']) {
    const data = dataOf(name);
    const known = sounds(data);
    const places = new Map();
    data.score.onsets.forEach((onsets, row) => onsets.forEach(({ struck }) => struck.forEach((one) => {
      const sound = known.get(`${row} ${one}`);
      assert.notEqual(sound, undefined, `${name}: ${one}`);
      const entry = data.bank.entries[sound];
      assert.equal(entry.voice, data.own[row]);
      places.set(`${row} ${one}`, entry.place);
    })));
    const apart = data.own.map((_, row) => [...places].filter(([key]) => key.startsWith(`${row} `)).map(([, place]) => place));
    for (const list of apart) assert.equal(new Set(list).size, list.length, `${name}: two notes sound alike`);
  }
});

test('a note that the part does not play is made of its nearest neighbour', () => {
  const known = new Map([['0 60', 3], ['0 67', 4]]);
  assert.deepEqual(nearest(known, '0 67'), { sound: 4, rate: 1 });
  const { sound, rate } = nearest(known, '0 62');
  assert.deepEqual([sound, Math.round(rate * 1000)], [3, 1122]);
  assert.equal(nearest(new Map([['0 x', 1]]), '0 o'), null);
  assert.equal(nearest(known, '1 60'), null, 'of its own row alone');
});

test('a tap is in time, early, late, or on another note', () => {
  const data = even({ bars: 2, strokes: 4, length: 2_000_000 });
  data.score.onsets = [[0, 1, 2, 3].map((n) => ({ at: 1_000_000 * n, length: 1_000_000, struck: [n % 2 ? 'D' : 'C'], sticks: [n % 2 ? 'R' : 'L'] }))];
  const how = (name, t, scale = 1e-6) => fit(data.score, (struck) => struck === name, t * 1e6, scale);
  assert.deepEqual([0.95, 1.05, 0.85, 1.2].map((t) => how('D', t)), ['in time', 'in time', 'early', 'late']);
  assert.deepEqual([how('C', 1.02), how('C', 1.5), how('C', 1.8)], ['other note', null, 'early']);
  assert.equal(how('D', 1.1, 2e-6), 'late', 'at half the tempo a tenth is a fifth of a second');
});

test('what was practised is kept as sentences, the last first, and is forgotten when asked', () => {
  const store = new Map();
  globalThis.localStorage = { getItem: (key) => store.get(key) ?? null, setItem: (key, value) => store.set(key, value) };
  try {
    const log = new Log({ key: 'band tune lead' });
    log.note('bars 1 to 4', 80);
    log.note('bar 5', 100);
    log.note('bars 1 to 4', 70.4);
    const told = ['bars 1 to 4: 2 times, at 80 % at the fastest', 'bar 5: once, at 100 % at the fastest'];
    assert.deepEqual(log.told(), told);
    assert.deepEqual(new Log({ key: 'band tune lead' }).told(), told);
    assert.deepEqual(new Log({ key: 'other' }).told(), []);
    log.forget();
    assert.deepEqual(new Log({ key: 'band tune lead' }).told(), []);
    store.set('broken played', '[1, {"bars": 2}, null, {"bars": "<b>", "times": 1, "fastest": 90}]');
    assert.deepEqual(new Log({ key: 'broken' }).told(), ['<b>: once, at 90 % at the fastest']);
  } finally {
    delete globalThis.localStorage;
  }
});
