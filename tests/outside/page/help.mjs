// What the tests of the page share: made-up data for the scripts alone, and the folder with pages for those in the browser.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Clock } from '../../../src/page/clock.js';
import { plan } from '../../../src/page/plan.js';
import { Strokes } from '../../../src/page/strokes.js';

/** The folder in which .ci/run has written pages, and for each the performance as `panfold render --json` tells it. */
export function pages() {
  const folder = process.env.PAGES;
  if (!folder) throw new Error('PAGES names the folder with the pages; see .ci/run');
  return folder;
}

/** @param {string} name */
export function pageText(name) {
  return readFileSync(join(pages(), `${name}.html`), 'utf8');
}

/** The data of a page, as its script reads it. @param {string} name */
export function data(name) {
  const text = pageText(name).split('<script type="application/json" id="data">')[1].split('</script>')[0];
  return JSON.parse(text);
}

/** The performance as `panfold render --json` tells it. @param {string} name */
export function performance(name) {
  return JSON.parse(readFileSync(join(pages(), `${name}.json`), 'utf8'));
}

/**
 * Made-up data: bars of one length with the same number of strokes of one voice in each.
 *
 * @param {{bars: number, strokes: number, length: number}} shape length: of a bar, in microseconds
 */
export function even({ bars, strokes, length }) {
  const beat = length / 4;
  const packed = [];
  for (let i = 0; i < bars * strokes; i++) packed.push(i === 0 ? 0 : length / strokes, i % 2, 500, 0);
  const entry = { voice: 0, from: 0, lasts: 1, gain: 1, place: 0, stops: [0], damp: 0.07 };
  return {
    key: 'test',
    own: [0],
    rows: ['lead'],
    score: {
      end: bars * length,
      strokes: packed,
      rolls: [{ percent: 100, strokes: [] }],
      bars: Array.from({ length: bars }, (_, i) => ({
        ...{ at: i * length, end: (i + 1) * length, section: 0, bar: i, clicks: 0, count: 0 },
        phrase: Math.min(i + 4 - (i % 4), bars),
        kept: false,
      })),
      pickup: false,
      clicks: [{ length, at: [0, 1, 2, 3].map((n) => [n * beat, n === 0]) }],
      sections: [{ name: 'a', section: 0, first: 0, last: bars, tempo: 120 }],
      onsets: [[]],
      chords: [],
      words: [],
      keeper: null,
    },
    bank: { entries: [entry, entry, entry], again: 0.035, clicks: [{ sound: 2, loud: 1 }, { sound: 2, loud: 0.6 }], sides: [0, 0] },
    ways: [{ name: 'loud', own: 1, band: 0.35, all: 1 }],
    ceiling: 0.841,
    ladder: [60, 80, 100],
    cells: [[0]],
    shown: Array(bars).fill(0),
  };
}

/** A clock that plays a drill from `at` on, with what it has handed out: what it has taken back in time is not struck. */
export function playing(data, [kind, first, last, counted = false], at = 0, tempo = 1) {
  const strokes = new Strokes(data);
  const state = { now: 0, struck: /** @type {{at: number, t: number}[]} */ ([]) };
  const clock = new Clock({
    now: () => state.now,
    strikes: (step, from, percent) => strokes.of(step, from, percent),
    strike: (strike, at) => state.struck.push({ at, t: strike.t }),
    unstrike: (from) => (state.struck = state.struck.filter((stroke) => stroke.at < Math.max(from, state.now))),
  });
  clock.start(plan(data, kind, first, last, counted), at, tempo);
  return { clock, state };
}
