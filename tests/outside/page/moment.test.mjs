// What is lit at a moment, from made-up strokes: every stroke once for itself, and always what comes next. Counted by hand.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { DARK, Lights } from '../../../src/page/lights.js';
import { plan } from '../../../src/page/plan.js';
import { data as dataOf, even } from './help.mjs';

/** Seconds of a microsecond at the written tempo. */
const SCALE = 1e-6;

/** A score whose player strikes these notes in quarters of half a second: `C`, `-` for one that sounds on, `.` for a rest. */
function played(...rows) {
  const data = even({ bars: rows[0].length / 4, strokes: 4, length: 2_000_000 });
  data.score.onsets = rows.map((row) => [...row].flatMap((struck, i) => {
    let length = 1;
    while (row[i + length] === '-') length++;
    return '-.'.includes(struck) ? [] : [{ at: i * 500_000, length: length * 500_000, struck: [struck] }];
  }));
  return data;
}

/** What is lit at a time, as `C now next again ×2`. */
function lit(data, t, { kind = 'once', first = 0, last = data.score.bars.length } = {}) {
  const steps = plan(data, kind, first, last, false);
  const [step, after] = [steps.next().value, steps.next().value ?? null];
  const moment = new Lights(data.score).at(step, t * 1e6, after, SCALE);
  const said = ([name, { state, next, again, left }]) => [name, state, next && 'next', again && 'again', next && left > 1 && `×${left}`].filter(Boolean).join(' ');
  return [...moment.lit].map(said).sort();
}

test('a stroke is lit as long as it sounds, the next one has its ring', () => {
  const data = played('CD.E');
  assert.deepEqual(lit(data, 0), ['0 C now', '0 D next']);
  assert.deepEqual(lit(data, 0.49), ['0 C now', '0 D next']);
  assert.deepEqual(lit(data, 0.5), ['0 D now', '0 E next']);
  assert.deepEqual(lit(data, 1.2), ['0 E next'], 'a rest');
  assert.deepEqual(lit(data, 1.6), ['0 E now'], 'nothing comes after the last');
});

test('strokes of one note are dark before each, ringed as next, and counted', () => {
  const data = played('CCCD');
  assert.deepEqual(lit(data, 0.1), ['0 C now next again ×2']);
  assert.deepEqual(lit(data, 0.5 - DARK.seconds + 0.001), ['0 C next again ×2']);
  assert.deepEqual(lit(data, 0.5), ['0 C now next again']);
  assert.deepEqual(lit(data, 1.1), ['0 C now', '0 D next']);
});

test('between fast strokes it is dark for a part of the time only', () => {
  const data = played('CC..');
  data.score.onsets[0][1].at = 60_000;
  data.score.onsets[0][0].length = 60_000;
  assert.deepEqual(lit(data, 0.035), ['0 C now next again']);
  assert.deepEqual(lit(data, 0.037), ['0 C next again']);
});

test('at the seam of a loop the next round is ringed, and the same note dark before it', () => {
  const data = played('C..C');
  assert.deepEqual(lit(data, 1.6, { kind: 'loop' }), ['0 C now next again ×2']);
  assert.deepEqual(lit(data, 2 - DARK.seconds + 0.001, { kind: 'loop' }), ['0 C next again ×2']);
  assert.deepEqual(lit(played('C..D'), 1.6, { kind: 'loop' }), ['0 C next', '0 D now']);
});

test('rows are lit each for itself, and the soonest of all is next', () => {
  const data = played('x...', 'xx..');
  assert.deepEqual(lit(data, 0.1), ['0 x now', '1 x now next again']);
});

test('a roll is held, and dark before the next one on its note', () => {
  const data = played('C-C-');
  data.score.onsets[0].forEach((onset) => (onset.rolled = true));
  assert.deepEqual(lit(data, 0.6), ['0 C held next again']);
  assert.deepEqual(lit(data, 0.95), ['0 C next again']);
});

test('on every page every stroke is lit, and dark at some time before the same note is struck again; something is next until the last', () => {
  for (const name of ['slow-water-cello', 'sea-grape-road-second', 'sea-grape-road-lead', 'sea-grape-road-iron', 'kit']) {
    const data = dataOf(name);
    const lights = new Lights(data.score);
    const [step] = plan(data, 'once', 0, data.score.bars.length, false);
    const end = Math.max(...data.score.onsets.map((row) => row[row.length - 1].at));
    data.score.onsets.forEach((onsets, row) => onsets.forEach(({ at, length, struck, rolled }, o) => {
      const now = lights.at(step, at, null, SCALE);
      for (const one of struck) assert.equal(now.lit.get(`${row} ${one}`)?.state, rolled ? 'held' : 'now', `${name}: stroke ${o}`);
      assert.ok(at === end || now.next.length > 0, `${name}: something comes after stroke ${o}`);
      const next = onsets[o + 1];
      if (!next || length + 1 < next.at - at) return;
      const before = lights.at(step, next.at - 1, null, SCALE);
      for (const one of next.struck) {
        const light = before.lit.get(`${row} ${one}`);
        assert.ok(!light?.state && light?.next, `${name}: dark and ringed before stroke ${o + 1}`);
      }
    }));
  }
});
