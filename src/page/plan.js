// What is practised: a stretch of bars as steps, for each kind of drill. The tables that it follows come with the page.

/** @import {Data, Step} from './data.js' */

/**
 * The steps of a drill over the bars from `first` up to, not including, `last`.
 *
 * @param {Data} data
 * @param {string} kind once, loop, ladder, echo or chain
 * @param {number} first
 * @param {number} last
 * @param {boolean} counted whether a count-in comes first
 * @returns {Generator<Step, void, void>}
 */
export function* plan(data, kind, first, last, counted) {
  const { bars, clicks } = data.score;
  /** @type {(first: number, last: number, what: string, percent?: number, heard?: Step['heard']) => Step} */
  const piece = (first, last, what, percent = 100, heard = 'all') => {
    return { from: bars[first].at, to: bars[last - 1].end, percent, heard, what, first, last };
  };
  const begins = kind === 'ladder' ? data.ladder[0] : 100;
  if (counted) {
    const count = clicks[bars[first].count];
    yield { from: -count.length, to: 0, percent: begins, heard: 'count', what: 'count-in', first, last };
  }
  if (kind === 'loop') {
    for (let time = 1; ; time++) yield piece(first, last, `${named(first, last)}, round ${time}`);
  } else if (kind === 'ladder') {
    for (const percent of data.ladder) yield piece(first, last, `${named(first, last)} at ${percent} %`, percent);
  } else if (kind === 'chain') {
    for (let end = first + 1; end <= last; end++) yield piece(first, end, named(first, end));
  } else if (kind === 'echo') {
    for (let bar = first; bar < last;) {
      const end = Math.min(bars[bar].phrase, last);
      const kept = bars.slice(bar, end).some((bar) => bar.kept);
      yield piece(bar, end, named(bar, end));
      yield piece(bar, end, 'your answer', 100, kept ? 'keeper' : 'sticks');
      bar = end;
    }
  } else {
    yield piece(first, last, named(first, last));
  }
}

/**
 * @param {number} first
 * @param {number} last
 */
export function named(first, last) {
  return last === first + 1 ? `bar ${last}` : `bars ${first + 1} to ${last}`;
}
