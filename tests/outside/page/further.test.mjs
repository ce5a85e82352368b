// What goes beyond playing bars once: from a bar on, counted in before every round, faster by and by; and going on after a pause.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { countIn, named, plan } from '../../../src/page/plan.js';
import { even, playing } from './help.mjs';

const data = even({ bars: 8, strokes: 4, length: 2_000_000 });
const take = (steps, most) => Array.from({ length: most }, () => steps.next().value).filter(Boolean);
const said = (kind, most, how, [first, last] = [2, 5]) => take(plan(data, kind, first, last, true, how), most).map(({ what }) => what);

test('from a bar on the first round is short, the others are whole', () => {
  assert.deepEqual(said('once', 3, { from: 3 }), ['count-in', 'bars 4 to 5']);
  assert.deepEqual(said('loop', 3, { from: 4 }), ['count-in', 'bar 5, round 1', 'bars 3 to 5, round 2']);
  assert.deepEqual(said('ladder', 3, { from: 4 }), ['count-in', 'bar 5 at 60 %', 'bars 3 to 5 at 80 %']);
  assert.deepEqual(said('chain', 4, { from: 3 }), ['count-in', 'bars 3 to 4', 'bars 3 to 5']);
  assert.deepEqual(said('echo', 4, { from: 3 }, [0, 8]), ['count-in', 'bar 4', 'your answer', 'bars 5 to 8']);
});

test('every round is counted in if that is wanted, at its own tempo', () => {
  assert.deepEqual(said('loop', 4, { each: true }), ['count-in', 'bars 3 to 5, round 1', 'count-in', 'bars 3 to 5, round 2']);
  const ladder = take(plan(data, 'ladder', 0, 1, true, { each: true }), 6);
  assert.deepEqual(ladder.map(({ heard, percent }) => [heard, percent]), [60, 80, 100].flatMap((percent) => [['count', percent], ['all', percent]]));
  assert.deepEqual(said('echo', 5, { each: true }, [0, 8]), ['count-in', 'bars 1 to 4', 'your answer', 'count-in', 'bars 5 to 8']);
  assert.deepEqual(take(plan(data, 'loop', 0, 1, false, { each: true }), 3).map(({ heard }) => heard), ['all', 'count', 'all'], 'not before the first');
});

test('a loop gets a little faster after every third round, up to where it may', () => {
  const percents = take(plan(data, 'loop', 0, 1, false, { rises: 112 }), 13).map(({ percent }) => percent);
  assert.deepEqual(percents, [100, 100, 100, 105, 105, 105, 110, 110, 110, 112, 112, 112, 112]);
  assert.deepEqual(take(plan(data, 'loop', 0, 1, false), 7).map(({ percent }) => percent), Array(7).fill(100));
});

test('a pickup is bar 0', () => {
  assert.deepEqual([named(0, 1, true), named(0, 3, true), named(4, 5, true), named(0, 1)], ['bar 0', 'bars 0 to 2', 'bar 4', 'bar 1']);
});

/** A clock over bars of four strokes, and what lets its time pass. */
function passing(...drill) {
  const { clock, state } = playing(data, drill);
  const until = (time) => {
    for (; state.now < time; state.now += 0.05) clock.fill();
  };
  return { clock, state, until };
}

test('after a pause it goes on where it was, and no stroke is lost or doubled', () => {
  const { clock, state, until } = passing('loop', 0, 2);
  until(5.25);
  assert.deepEqual([clock.hold()?.step.what, clock.place(state.now), clock.end], ['bars 1 to 2, round 2', null, null]);
  until(9);
  clock.fill();
  state.now = 10;
  clock.goOn(10.15);
  until(16);
  const played = state.struck.filter(({ at }) => at < 16).map(({ at, t }) => ({ at: Math.round(at * 100) / 100, t }));
  assert.deepEqual(played.map(({ t }) => t), Array.from({ length: played.length }, (_, i) => (i % 8) * 500_000));
  assert.equal(played[10].at, 5, 'the last one before the pause');
  assert.ok(Math.abs(played[11].at - 10.4) < 0.06, `as long after as it was to come: ${played[11].at}`);
});

test('with a count-in it goes on from the beginning of the bar', () => {
  const { clock, state, until } = passing('once', 0, 4);
  until(5.3);
  const held = clock.hold();
  clock.goOn(6, 4_000_000, countIn(data, 2, 4, 100));
  assert.equal(held?.step.what, 'bars 1 to 4');
  until(20);
  const after = state.struck.filter(({ at }) => at >= 6);
  assert.deepEqual(after.slice(0, 5).map(({ at, t }) => [at, t]), [[6, -2e6], [6.5, -1.5e6], [7, -1e6], [7.5, -5e5], [8, 4e6]]);
  assert.equal(clock.end, 12);
});

test('a change of tempo in the count-in after a pause leaves where it goes on', () => {
  const { clock, state, until } = passing('once', 0, 4);
  until(5.3);
  clock.hold();
  clock.goOn(6, 4_000_000, countIn(data, 2, 4, 100));
  until(7);
  clock.fill();
  clock.change(0.5);
  until(9.9);
  const after = state.struck.filter(({ at }) => at >= 7.9);
  assert.deepEqual(after.slice(0, 2).map(({ t }) => t), [-500_000, 4_000_000], `${JSON.stringify(after)}`);
  assert.equal(clock.after(clock.place(9.1).laid), null);
});

test('a clock that was not held does not go on, and one that plays nothing holds nothing', () => {
  const { clock, state, until } = passing('once', 0, 1);
  clock.goOn(1);
  assert.equal(clock.laid.length, 1);
  until(4);
  assert.equal(clock.hold(), null);
  state.struck.length = 0;
  clock.goOn(5);
  until(8);
  assert.equal(state.struck.length, 0);
});
