// Stopping and starting anew: what was laid is gone, what sounds is taken back or rings out, and nothing is kept for ever.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { AHEAD, Clock, LATE } from '../../../src/page/clock.js';
import { plan } from '../../../src/page/plan.js';
import { Strokes } from '../../../src/page/strokes.js';
import { even } from './help.mjs';

/** A clock that has not begun, with all that it hands out and takes back. */
function clockwork(data) {
  const strokes = new Strokes(data);
  const state = { now: 0, struck: /** @type {{at: number, t: number, lasts: number}[]} */ ([]), taken: /** @type {number[]} */ ([]) };
  const clock = new Clock({
    now: () => state.now,
    strikes: (step, from, percent) => strokes.of(step, from, percent),
    strike: (strike, at, seconds) => state.struck.push({ at, t: strike.t, lasts: seconds(1_000_000) }),
    unstrike: (from) => state.taken.push(from),
  });
  return { clock, state, start: (kind, at = 0, tempo = 1) => clock.start(plan(data, kind, 0, data.score.bars.length, false), at, tempo) };
}

const bars = (count) => even({ bars: count, strokes: 4, length: 2_000_000 });

test('a clock that has not begun does nothing and is nowhere', () => {
  const { clock, state } = clockwork(bars(2));
  clock.fill();
  assert.deepEqual([clock.place(0), clock.end, state.struck.length], [null, null, 0]);
});

test('a stop takes everything back and leaves nothing to come', () => {
  const { clock, state, start } = clockwork(bars(4));
  start('once');
  const before = state.struck.length;
  clock.stop();
  assert.deepEqual(state.taken, [-Infinity]);
  assert.deepEqual([clock.place(0.1), clock.end], [null, null]);
  for (state.now = 0; state.now < 20; state.now += 0.5) clock.fill();
  assert.equal(state.struck.length, before, 'nothing is handed out any more');
  clock.stop(false);
  assert.deepEqual(state.taken, [-Infinity], 'what is to ring out is not taken back');
});

test('a stop in the midst of steps that were given back forgets these too', () => {
  const { clock, state, start } = clockwork(even({ bars: 8, strokes: 2, length: 200_000 }));
  start('chain');
  clock.change(0.1);
  assert.ok(clock.waiting.length > 0, 'steps wait to be laid again');
  clock.stop();
  assert.equal(clock.waiting.length, 0);
  start('once', 0.1);
  for (state.now = 0; state.now < 5; state.now += 0.1) clock.fill();
  assert.ok(Math.abs(clock.end - 1.7) < 1e-9, 'eight bars from 0.1 s on');
});

test('starting anew without a stop begins at the beginning', () => {
  const { clock, state, start } = clockwork(bars(2));
  start('once');
  for (state.now = 0; state.now < 6; state.now += 0.1) clock.fill();
  assert.equal(clock.end, 4);
  state.struck.length = 0;
  state.now = 10;
  start('once', 10, 0.5);
  assert.equal(clock.end, null, 'it has not ended yet');
  for (; state.now < 20; state.now += 0.1) clock.fill();
  assert.deepEqual(state.struck.map(({ at }) => at), [10, 11, 12, 13, 14, 15, 16, 17]);
  assert.equal(clock.end, 18);
});

test('a stroke is told how long a second of the written tempo lasts', () => {
  const { state, start } = clockwork(bars(1));
  start('once', 0, 0.5);
  assert.deepEqual(state.struck.map(({ lasts }) => lasts), [2, 2]);
});

test('an hour of a loop keeps no more than is ahead and just past', () => {
  const { clock, state, start } = clockwork(bars(1));
  start('loop');
  for (state.now = 0; state.now < 3600; state.now += 0.5) clock.fill();
  assert.ok(clock.laid.length <= 4, `${clock.laid.length} steps are kept`);
});

test('strokes are handed out as long before as is said, and no more than so late', () => {
  const { clock, state, start } = clockwork(bars(4));
  start('once');
  assert.ok(state.struck.every(({ at }) => at < AHEAD) && state.struck.length === 3, 'of the first 1.5 s');
  // Asleep until just as late for the fourth as is allowed.
  state.now = 1.5 + LATE;
  clock.fill();
  assert.equal(state.struck[3].at, 1.5);
});

test('starting anew in the midst of a chain forgets what was laid and what waits', () => {
  const { clock, state, start } = clockwork(even({ bars: 8, strokes: 2, length: 200_000 }));
  start('chain');
  clock.change(0.1);
  assert.ok(clock.waiting.length > 0, 'steps wait to be laid again');
  state.now = 1;
  start('once', 3);
  assert.equal(clock.place(2.5)?.early, true, 'nothing sounds until it begins');
  for (; state.now < 7; state.now += 0.1) clock.fill();
  assert.ok(Math.abs((clock.end ?? 0) - 4.6) < 1e-9, 'eight bars from 3 s on');
});

test('after a stop no end is known', () => {
  const { clock, state, start } = clockwork(bars(1));
  start('once');
  for (; state.now < 3; state.now += 0.1) clock.fill();
  assert.equal(clock.end, 2);
  clock.stop();
  assert.equal(clock.end, null);
});

test('rolls have the strokes of the tempo that is played', () => {
  const of = bars(1);
  of.score.strokes = [];
  of.score.rolls = [{ percent: 100, strokes: [100, 0, 500, 0] }, { percent: 50, strokes: [100, 0, 500, 0, 100, 0, 500, 0] }];
  const struck = (tempo) => {
    const { state, start } = clockwork(of);
    start('once', 0, tempo);
    return state.struck.length;
  };
  assert.deepEqual([1, 0.5, 2].map(struck), [1, 2, 1]);
});
