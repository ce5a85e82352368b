// Plans: the steps of each drill are those that `panfold drill` prints, and steps have the strokes that belong to them.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { plan } from '../../../src/page/plan.js';
import { firstFrom, Strokes } from '../../../src/page/strokes.js';
import { data, even, pages } from './help.mjs';

const take = (steps, most = 1000) => {
  const out = [];
  for (const step of steps) {
    out.push(step);
    if (out.length === most) break;
  }
  return out;
};

test('the drills of a page are those that the program plans', () => {
  const drills = readdirSync(pages()).filter((name) => name.endsWith('.drill.json'));
  assert.ok(drills.length >= 8, 'the program has planned drills to compare with');
  for (const name of drills) {
    // sea-grape-road-lead.echo.1-12.drill.json
    const [page, kind, bars] = name.split('.');
    const [first, last] = bars.split('-').map(Number);
    const planned = JSON.parse(readFileSync(join(pages(), name), 'utf8'));
    const of = data(page);
    const steps = take(plan(of, kind, first - 1, last, true), planned.steps.length + 1);
    assert.equal(steps[0].heard, 'count');
    let seconds = 0;
    steps.forEach((step, i) => {
      const expected = planned.steps[i - 1];
      if (expected) {
        assert.ok(Math.abs(seconds - expected.seconds) < 1e-3, `${name}: step ${i} at ${seconds}, not ${expected.seconds}`);
        assert.equal(step.percent, expected.percent, name);
        if (kind === 'echo' || kind === 'chain') assert.equal(step.what, expected.what, name);
      }
      seconds += (step.to - step.from) / 1e6 / (step.percent / 100);
    });
    assert.ok(Math.abs(seconds - planned.seconds) < 1e-3, `${name} ends at ${seconds}, not ${planned.seconds}`);
  }
});

test('who is heard while the player answers', () => {
  const of = even({ bars: 8, strokes: 4, length: 2_000_000 });
  const steps = take(plan(of, 'echo', 0, 8, false));
  assert.deepEqual(steps.map((step) => step.heard), ['all', 'sticks', 'all', 'sticks']);
  const strokes = new Strokes(of);
  assert.deepEqual([...strokes.of(steps[1], 0, 100)].map(({ t }) => t / 500_000), Array.from({ length: 16 }, (_, i) => i));
  assert.deepEqual([...strokes.of(steps[0], 0, 100)].length, 16);
});

test('what sounds on into a stretch is struck anew where it begins', () => {
  const of = even({ bars: 4, strokes: 4, length: 2_000_000 });
  of.score.bars[2].into = [6];
  const strokes = new Strokes(of);
  const [step] = take(plan(of, 'once', 2, 3, false));
  assert.deepEqual([...strokes.of(step, step.from, 100)].map(({ t }) => t), [4e6, 4e6, 4.5e6, 5e6, 5.5e6]);
  assert.deepEqual([...strokes.of(step, step.from + 1, 100)].map(({ t }) => t), [4.5e6, 5e6, 5.5e6]);
});

test('rolls have the strokes of the nearest tempo', () => {
  const of = even({ bars: 4, strokes: 4, length: 2_000_000 });
  of.score.rolls = [{ percent: 100, strokes: [100, 0, 500, 0] }, { percent: 50, strokes: [100, 0, 500, 0, 100, 0, 500, 0] }];
  const strokes = new Strokes(of);
  const [step] = take(plan(of, 'once', 0, 1, false));
  const count = (percent) => [...strokes.of(step, 0, percent)].length;
  assert.deepEqual([120, 100, 72, 70, 30].map(count), [5, 5, 5, 6, 6]);
});

test('the first place from a value on', () => {
  const list = [1, 2, 2, 3];
  assert.deepEqual([0, 1, 2, 2.5, 3, 4].map((t) => firstFrom(list, (i) => list[i], t)), [0, 0, 1, 3, 3, 4]);
});
