// What the steps of each drill say, what their strokes carry, and where the clock is at the seams between them: counted by hand.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Clock } from '../../../src/page/clock.js';
import { named, plan } from '../../../src/page/plan.js';
import { Strokes } from '../../../src/page/strokes.js';
import { even } from './help.mjs';

const data = even({ bars: 8, strokes: 4, length: 2_000_000 });
const take = (steps, most) => Array.from({ length: most }, () => steps.next().value);

test('a ladder is counted in at its first tempo and climbs', () => {
  const steps = [...plan(data, 'ladder', 1, 3, true)];
  assert.deepEqual(steps.map(({ percent }) => percent), [60, 60, 80, 100]);
  assert.deepEqual(steps.slice(1).map(({ what }) => what), [60, 80, 100].map((percent) => `bars 2 to 3 at ${percent} %`));
  assert.deepEqual(steps.slice(1).map(({ from, to }) => [from, to]), Array(3).fill([2_000_000, 6_000_000]));
});

test('every other drill is at the tempo that is chosen', () => {
  for (const kind of ['once', 'loop', 'echo', 'chain']) {
    for (const step of take(plan(data, kind, 0, 4, true), 3).filter(Boolean)) assert.equal(step.percent, 100, `${kind}: ${step.what}`);
  }
});

test('a loop counts its times, a chain grows, bars are named as people name them', () => {
  assert.deepEqual(take(plan(data, 'loop', 2, 4, false), 3).map(({ what }) => what), [1, 2, 3].map((time) => `bars 3 to 4, round ${time}`));
  assert.deepEqual([...plan(data, 'chain', 2, 5, false)].map(({ what }) => what), ['bar 3', 'bars 3 to 4', 'bars 3 to 5']);
  assert.deepEqual([named(0, 1), named(0, 2), named(4, 8)], ['bar 1', 'bars 1 to 2', 'bars 5 to 8']);
});

test('strokes have their loudness and how long they are held', () => {
  const of = even({ bars: 1, strokes: 2, length: 2_000_000 });
  of.score.strokes = [0, 0, 500, 0, 1_000_000, 1, 750, 250_000];
  const [step] = plan(of, 'once', 0, 1, false);
  assert.deepEqual([...new Strokes(of).of(step, 0, 100)], [
    { t: 0, sound: 0, loud: 0.5, held: 0 },
    { t: 1_000_000, sound: 1, loud: 0.75, held: 250_000 },
  ]);
});

test('what is struck before a stretch or from its end on is not in it', () => {
  const strokes = new Strokes(data);
  const [step] = plan(data, 'once', 1, 2, false);
  assert.deepEqual([...strokes.of(step, step.from, 100)].map(({ t }) => t), [2e6, 2.5e6, 3e6, 3.5e6]);
  assert.deepEqual([...strokes.of(step, 3e6, 100)].map(({ t }) => t), [3e6, 3.5e6]);
  const [, answer] = plan(data, 'echo', 0, 2, false);
  assert.deepEqual([...strokes.of(answer, 1e6, 100)].map(({ t }) => t), [1e6, 1.5e6, 2e6, 2.5e6, 3e6, 3.5e6]);
  const [count] = plan(data, 'once', 0, 1, true);
  assert.deepEqual([...strokes.of(count, -1e6, 100)].map(({ t }) => t), [-1e6, -0.5e6]);
});

/** A clock that plays a drill from 0 s on. */
function playing(of, kind, first, last) {
  const strokes = new Strokes(of);
  const state = { now: 0 };
  const clock = new Clock({
    now: () => state.now,
    strikes: (step, from, percent) => strokes.of(step, from, percent),
    strike: () => {},
    unstrike: () => {},
  });
  clock.start(plan(of, kind, first, last, false), 0, 1);
  return { clock, state };
}

test('a step begins with its first moment and is over with its last', () => {
  const { clock } = playing(even({ bars: 4, strokes: 1, length: 250_000 }), 'chain', 0, 2);
  assert.deepEqual([clock.place(0)?.step.what, clock.place(0)?.early], ['bar 1', false]);
  assert.deepEqual([clock.place(0.25)?.step.what, clock.place(0.25)?.t], ['bars 1 to 2', 0]);
  assert.equal(clock.end, 0.75);
  assert.equal(clock.place(0.75), null);
});

test('the step after each is the next one, and there is none after the last', () => {
  const { clock } = playing(even({ bars: 4, strokes: 1, length: 250_000 }), 'chain', 0, 3);
  const after = (at) => clock.after(clock.place(at).laid)?.what ?? null;
  assert.deepEqual([0.1, 0.3, 0.8].map(after), ['bars 1 to 2', 'bars 1 to 3', null]);
});

test('a change of tempo moves an end that was known already', () => {
  const { clock, state } = playing(even({ bars: 4, strokes: 1, length: 250_000 }), 'once', 0, 4);
  assert.equal(clock.end, 1);
  state.now = 0.47;
  clock.change(0.5);
  for (; state.now < 3; state.now += 0.1) clock.fill();
  assert.ok(Math.abs(clock.end - 1.5) < 1e-9, `half of it is left at 0.5 s, and takes a second: ${clock.end}`);
});
