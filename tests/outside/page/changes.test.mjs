// What a change of tempo does to the clock: nothing that is laid ahead is lost, what has not begun begins where it was, and a page
// that slept takes the new tempo too. All times are counted by hand from bars of even strokes.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { GUARD } from '../../../src/page/clock.js';
import { even, playing } from './help.mjs';

/** Times to a thousandth, so that sums of fractions compare. */
const thousandths = (struck) => struck.map(({ at }) => Math.round(at * 1000) / 1000);

test('steps that are laid ahead are played after a change of tempo, in their order', () => {
  // Bars of 0.2 s: at any time the clock has laid five steps and more ahead.
  const data = even({ bars: 8, strokes: 2, length: 200_000 });
  const { clock, state } = playing(data, ['chain', 0, 8, true], 0);
  state.now = 0.3;
  clock.fill();
  assert.ok(clock.laid.length > 4, 'several steps are laid ahead');
  clock.change(0.5);
  for (; state.now < 20; state.now += 0.1) clock.fill();
  const chained = Array.from({ length: 8 }, (_, n) => Array.from({ length: 2 * (n + 1) }, (_, i) => i * 100_000));
  const counted = [-200_000, -150_000, -100_000, -50_000];
  assert.deepEqual(state.struck.map(({ t }) => t), [...counted, ...chained.flat()]);
  // The count-in of 0.2 s and 36 bars of 0.2 s: up to 0.33 s at the old tempo, the rest at half of it.
  const end = 0.3 + GUARD + 2 * (37 * 0.2 - 0.3 - GUARD);
  assert.ok(Math.abs(clock.end - end) < 1e-9, `it ends at ${clock.end}, not ${end}`);
});

test('the step after the one that sounds is known after a change of tempo', () => {
  const data = even({ bars: 8, strokes: 2, length: 1_000_000 });
  const { clock, state } = playing(data, ['chain', 0, 8, false], 0);
  state.now = 0.5;
  clock.fill();
  clock.change(0.25);
  assert.equal(clock.after(clock.place(0.6).laid)?.what, 'bars 1 to 2');
});

test('a change of tempo before the first stroke leaves its moment as it is', () => {
  const data = even({ bars: 1, strokes: 4, length: 2_000_000 });
  const { clock, state } = playing(data, ['once', 0, 1, false], 1);
  state.now = 0.2;
  clock.change(0.5);
  for (; state.now < 6; state.now += 0.1) clock.fill();
  assert.deepEqual(thousandths(state.struck), [1, 2, 3, 4]);
  assert.deepEqual(state.struck.map(({ t }) => t), [0, 500_000, 1_000_000, 1_500_000]);
});

test('before it begins the music is at its beginning, and early', () => {
  const data = even({ bars: 4, strokes: 4, length: 2_000_000 });
  const { clock } = playing(data, ['once', 2, 4, false], 1);
  const { t, early } = clock.place(0.25);
  assert.deepEqual({ t, early }, { t: 4_000_000, early: true });
  const begun = clock.place(1.25);
  assert.deepEqual({ t: begun.t, early: begun.early }, { t: 4_250_000, early: false });
});

test('a page that slept beyond all that was laid takes the new tempo when it wakes', () => {
  const data = even({ bars: 1, strokes: 1, length: 1_000_000 });
  const { clock, state } = playing(data, ['loop', 0, 1, false], 0);
  state.now = 10;
  clock.change(0.5);
  for (; state.now < 20; state.now += 0.1) clock.fill();
  const after = thousandths(state.struck.filter(({ at }) => at > 11));
  assert.ok(after.length >= 4, `${after}`);
  after.slice(1).forEach((at, i) => assert.equal(Math.round((at - after[i]) * 1000), 2000));
});
