// How the drums of a pan lie on a screen: as they hang, unless they are clearly larger in rows or aslant.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { largest, ways } from '../../../src/page/faces.js';

/** Drums of a hundred by a hundred, by their middles. */
const drums = (...middles) => middles.map(([x, y]) => [x - 50, y - 50, 100, 100]);
const scale = (laid, width, height) => Math.min(width / laid.width, height / laid.height);

test('no way lays one drum over another', () => {
  const six = drums([-81, 81], [-113, -18], [-52, -102], [52, -102], [113, -18], [81, 81]);
  for (const boxes of [drums([0, 0]), drums([-52, 0], [52, 0]), drums([-90, 0], [0, -52], [90, 0]), six]) {
    for (const { at, width, height } of ways(boxes, true)) {
      at.forEach(([x, y], i) => {
        assert.ok(x >= 0 && y >= 0 && x + 100 <= width + 1e-9 && y + 100 <= height + 1e-9);
        for (const [a, b] of at.slice(0, i)) assert.ok(Math.hypot(x - a, y - b) >= 99.9, `${[x, y]} and ${[a, b]}`);
      });
    }
  }
});

test('left stays left, and what is far stays far', () => {
  const three = drums([-90, 40], [0, -52], [90, 40]);
  const { at } = largest(three, true, 340, 340);
  assert.ok(at[1][1] < at[0][1] && at[0][0] < at[2][0] && at[0][1] === at[2][1], `${at}`);
});

test('three drums in a square are larger in two rows, two aslant; where there is room they hang as they do', () => {
  const three = drums([-90, 40], [0, -20], [90, 40]);
  assert.ok(scale(largest(three, true, 340, 340), 340, 340) > 1.2 * scale(ways(three, true)[0], 340, 340));
  const two = drums([-52, 0], [52, 0]);
  assert.ok(scale(largest(two, true, 340, 340), 340, 340) > 1.1 * scale(ways(two, true)[0], 340, 340));
  assert.deepEqual(largest(two, true, 700, 340), ways(two, true)[0]);
  assert.ok(largest(two, false, 340, 340).at.some(([, y]) => y === 0), 'square drums are not laid aslant');
});
