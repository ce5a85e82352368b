// What the player chooses: what was kept is taken only as far as it makes sense; taps make a stretch.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { keep, recall, sane, tap } from '../../../src/page/choice.js';
import { even } from './help.mjs';

const data = even({ bars: 8, strokes: 4, length: 2_000_000 });
const first = {
  ...{ tempo: 100, way: 'loud', drill: 'once', loops: 'loop', counted: true, each: false, rises: false, along: false, late: 0 },
  ...{ first: 0, last: 8, large: false },
};

test('nonsense is not taken', () => {
  for (const kept of [null, 7, 'x', [], { tempo: 1e9, way: '<b>', drill: {}, counted: 'no', each: 1, rises: 'x', along: 2, late: -1, loops: 'once', first: 5, last: 2, large: 1 }]) {
    assert.deepEqual(sane(data, kept), first);
  }
  assert.deepEqual(sane(data, { tempo: 29 }), first);
  assert.deepEqual(sane(data, { late: 501 }), first);
  const whole = {
    ...{ tempo: 30, way: 'loud', drill: 'echo', loops: 'chain', counted: false, each: true, rises: true, along: true, late: 500 },
    ...{ first: 2, last: 4, large: true },
  };
  assert.deepEqual(sane(data, whole), whole);
});

test('a browser that keeps nothing stops nobody', () => {
  keep(data, first);
  assert.deepEqual(recall(data), first);
});

test('taps make a stretch, the same bar twice that bar alone', () => {
  const whole = { first: 0, last: 8, open: false };
  const one = tap(whole, { first: 2, last: 3 });
  assert.deepEqual(one, { first: 2, last: 3, open: true });
  assert.deepEqual(tap(one, { first: 5, last: 6 }), { first: 2, last: 6, open: false });
  assert.deepEqual(tap(one, { first: 0, last: 1 }), { first: 0, last: 3, open: false });
  assert.deepEqual(tap(one, { first: 2, last: 3 }), { first: 2, last: 3, open: false });
  assert.deepEqual(tap({ first: 2, last: 6, open: false }, { first: 1, last: 2 }), { first: 1, last: 2, open: true });
});
