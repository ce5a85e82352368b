// Who is heard while the player answers, and which click is which: the time-keeper where it strikes, the sticks where it rests.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { plan } from '../../../src/page/plan.js';
import { Strokes } from '../../../src/page/strokes.js';
import { even } from './help.mjs';

/** Eight bars of four strokes, the odd ones of the time-keeper, which strikes in the second phrase's last bar only. */
function band() {
  const data = even({ bars: 8, strokes: 4, length: 2_000_000 });
  const [entry] = data.bank.entries;
  data.bank.entries = [entry, { ...entry, voice: 7 }, entry];
  data.score.keeper = 7;
  data.score.bars[7].kept = true;
  return data;
}

test('the time-keeper keeps the answer where it strikes in the phrase, else the sticks do', () => {
  const steps = [...plan(band(), 'echo', 0, 8, false)];
  assert.deepEqual(steps.map(({ heard }) => heard), ['all', 'sticks', 'all', 'keeper']);
  assert.deepEqual(steps.map(({ what }) => what), ['bars 1 to 4', 'your answer', 'bars 5 to 8', 'your answer']);
});

test('of the band nobody but the time-keeper is heard in its answer', () => {
  const data = band();
  const steps = [...plan(data, 'echo', 4, 8, false)];
  const strokes = [...new Strokes(data).of(steps[1], steps[1].from, 100)];
  // Sounds 0 and 1 take turns; 1 is the time-keeper's.
  assert.deepEqual(strokes.map(({ sound }) => sound), Array(8).fill(1));
  assert.deepEqual(strokes.map(({ t }) => t), Array.from({ length: 8 }, (_, i) => 8_500_000 + i * 1_000_000));
});

test('the first click of a bar is the loud one, in a count-in and in an answer', () => {
  const data = even({ bars: 4, strokes: 4, length: 2_000_000 });
  data.bank.clicks = [{ sound: 2, loud: 1 }, { sound: 1, loud: 0.6 }];
  const strokes = new Strokes(data);
  const [count, , answer] = plan(data, 'echo', 0, 2, true);
  const loud = (step) => [...strokes.of(step, step.from, 100)].map(({ sound, loud }) => [sound, loud]);
  const bar = [[2, 1], [1, 0.6], [1, 0.6], [1, 0.6]];
  assert.deepEqual(loud(count), bar);
  assert.deepEqual(loud(answer), [...bar, ...bar]);
});

test('a step has all strokes of its time, the written ones before those of rolls that strike with them', () => {
  const data = even({ bars: 1, strokes: 4, length: 2_000_000 });
  // A roll's strokes with the second written one, and between the third and the fourth.
  data.score.rolls = [{ percent: 100, strokes: [500_000, 2, 500, 0, 750_000, 2, 500, 0] }];
  const [step] = plan(data, 'once', 0, 1, false);
  const strokes = [...new Strokes(data).of(step, 0, 100)].map(({ t, sound }) => [t / 250_000, sound]);
  assert.deepEqual(strokes, [[0, 0], [2, 1], [2, 2], [4, 0], [5, 2], [6, 1]]);
});
