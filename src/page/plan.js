// What is practised: a stretch of bars as steps, for each kind of drill. The tables that it follows come with the page.

/** @import {Data, Step} from './data.js' */

/** By how much a loop that gets faster rises, in percent, and after how many rounds. */
export const RISE = { by: 5, rounds: 3 };

/**
 * More about how bars are practised.
 *
 * @typedef {object} How
 * @property {number} [from] the bar in which it begins the first time
 * @property {boolean} [each] whether every round is counted in, not only the first
 * @property {number} [rises] the tempo in percent up to which a loop gets a little faster after every third round; 0: it does not
 */

/**
 * The steps of a drill over the bars from `first` up to, not including, `last`.
 *
 * @param {Data} data
 * @param {string} kind once, loop, ladder, echo or chain
 * @param {number} first
 * @param {number} last
 * @param {boolean} counted whether a count-in comes first
 * @param {How} [how]
 * @returns {Generator<Step, void, void>}
 */
export function* plan(data, kind, first, last, counted, { from = first, each = false, rises = 0 } = {}) {
  const { bars } = data.score;
  const name = (/** @type {number} */ first, /** @type {number} */ last) => named(first, last, data.score.pickup);
  /** @type {(first: number, last: number, what: string, percent?: number, heard?: Step['heard']) => Step} */
  const piece = (first, last, what, percent = 100, heard = 'all') => {
    return { from: bars[first].at, to: bars[last - 1].end, percent, heard, what, first, last };
  };
  let begun = false;
  /** The steps that count a round in. @type {(bar: number, percent?: number) => Generator<Step, void, void>} */
  const count = function* (bar, percent = 100) {
    if (begun ? each : counted) yield countIn(data, bar, last, percent);
    begun = true;
  };
  if (kind === 'loop') {
    for (let time = 1; ; time++) {
      const percent = 100 + RISE.by * Math.floor((time - 1) / RISE.rounds);
      const faster = Math.max(100, Math.min(percent, rises));
      const bar = time === 1 ? from : first;
      yield* count(bar, faster);
      yield piece(bar, last, `${name(bar, last)}, round ${time}`, faster);
    }
  } else if (kind === 'ladder') {
    for (const percent of data.ladder) {
      const bar = begun ? first : from;
      yield* count(bar, percent);
      yield piece(bar, last, `${name(bar, last)} at ${percent} %`, percent);
    }
  } else if (kind === 'chain') {
    for (let end = from + 1; end <= last; end++) {
      yield* count(first, 100);
      yield piece(first, end, name(first, end));
    }
  } else if (kind === 'echo') {
    for (let bar = from; bar < last;) {
      const end = Math.min(bars[bar].phrase, last);
      const kept = bars.slice(bar, end).some((bar) => bar.kept);
      yield* count(bar);
      yield piece(bar, end, name(bar, end));
      yield piece(bar, end, 'your answer', 100, kept ? 'keeper' : 'sticks');
      bar = end;
    }
  } else {
    yield* count(from);
    yield piece(from, last, name(from, last));
  }
}

/**
 * A step that counts a bar in.
 *
 * @param {Data} data
 * @param {number} bar
 * @param {number} last
 * @param {number} percent
 * @returns {Step}
 */
export function countIn(data, bar, last, percent) {
  const { bars, clicks } = data.score;
  const { length } = clicks[bars[bar].count];
  return { from: -length, to: 0, percent, heard: 'count', what: 'count-in', first: bar, last };
}

/**
 * The number of a bar in the tune. A pickup is bar 0.
 *
 * @param {number} bar counted from 0
 * @param {boolean} pickup whether the tune begins with a pickup
 */
export function numbered(bar, pickup) {
  return pickup ? bar : bar + 1;
}

/**
 * @param {number} first
 * @param {number} last
 * @param {boolean} [pickup] whether the tune begins with a pickup
 */
export function named(first, last, pickup = false) {
  const [from, to] = [numbered(first, pickup), numbered(last - 1, pickup)];
  return from === to ? `bar ${to}` : `bars ${from} to ${to}`;
}
