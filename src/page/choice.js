// What the player has chosen, and keeping it where the browser allows.

/** @import {Data} from './data.js' */

/**
 * @typedef {object} Choice
 * @property {number} tempo percent
 * @property {string} way how the part is heard
 * @property {string} drill
 * @property {boolean} counted whether a count-in comes first
 * @property {number} first first of the bars that are played
 * @property {number} last bar after the last
 * @property {boolean} large whether the pan is shown large
 */

/** The slowest and the fastest tempo, in percent. */
export const TEMPOS = { least: 30, most: 120 };

export const DRILLS = ['once', 'loop', 'ladder', 'echo', 'chain'];

/**
 * A choice as it was kept; what makes no sense (any more) is as on a new page.
 *
 * @param {Data} data
 * @param {unknown} kept
 * @returns {Choice}
 */
export function sane(data, kept) {
  const from = /** @type {Record<string, unknown>} */ (typeof kept === 'object' && kept !== null ? kept : {});
  const bars = data.score.bars.length;
  const whole = (/** @type {unknown} */ n) => (Number.isInteger(n) ? /** @type {number} */ (n) : -1);
  const [tempo, first, last] = [whole(from.tempo), whole(from.first), whole(from.last)];
  const fits = first >= 0 && first < last && last <= bars;
  const of = (/** @type {string[]} */ names, /** @type {unknown} */ name) => names.find((n) => n === name) ?? names[0];
  return {
    tempo: tempo >= TEMPOS.least && tempo <= TEMPOS.most ? tempo : 100,
    way: of(data.ways.map((way) => way.name), from.way),
    drill: of(DRILLS, from.drill),
    counted: from.counted !== false,
    first: fits ? first : 0,
    last: fits ? last : bars,
    large: from.large === true,
  };
}

/** @param {Data} data */
export function recall(data) {
  try {
    return sane(data, JSON.parse(localStorage.getItem(data.key) ?? 'null'));
  } catch {
    return sane(data, null);
  }
}

/**
 * @param {Data} data
 * @param {Choice} choice
 */
export function keep(data, choice) {
  try {
    localStorage.setItem(data.key, JSON.stringify(choice));
  } catch {
    // The browser keeps nothing for pages from files, or is full: then it is chosen anew next time.
  }
}

/**
 * The stretch after a tap on some bars: the first tap begins it, the second ends it, a third begins anew. A second tap on the same
 * bars gives the whole tune back.
 *
 * @param {{first: number, last: number, open: boolean}} stretch open: only begun so far
 * @param {{first: number, last: number}} tapped
 * @param {number} bars how many the tune has
 */
export function tap(stretch, tapped, bars) {
  if (!stretch.open) return { ...tapped, open: true };
  if (stretch.first === tapped.first && stretch.last === tapped.last) return { first: 0, last: bars, open: false };
  return { first: Math.min(stretch.first, tapped.first), last: Math.max(stretch.last, tapped.last), open: false };
}
