// What the player has chosen, and keeping it where the browser allows.

/** @import {Data} from './data.js' */

/**
 * @typedef {object} Choice
 * @property {number} tempo percent
 * @property {string} way how the part is heard
 * @property {string} drill
 * @property {string} loops the drill that the button beside Play turns on
 * @property {boolean} counted whether a count-in comes first
 * @property {boolean} each whether one comes before every round
 * @property {boolean} rises whether a loop gets faster after every third round
 * @property {boolean} along whether it is shown how taps on the pan fit
 * @property {number} late how much later the lights come, in milliseconds
 * @property {number} first first of the bars that are played
 * @property {number} last bar after the last
 * @property {boolean} large whether only the drums and notes of these bars are shown
 */

/** The slowest and the fastest tempo, in percent. */
export const TEMPOS = { least: 30, most: 120 };

/** The most that lights may come later, in milliseconds. */
export const LATEST = 500;

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
  const [tempo, late, first, last] = [whole(from.tempo), whole(from.late), whole(from.first), whole(from.last)];
  const fits = first >= 0 && first < last && last <= bars;
  const of = (/** @type {string[]} */ names, /** @type {unknown} */ name) => names.find((n) => n === name) ?? names[0];
  return {
    tempo: tempo >= TEMPOS.least && tempo <= TEMPOS.most ? tempo : 100,
    way: of(data.ways.map((way) => way.name), from.way),
    drill: of(DRILLS, from.drill),
    loops: of(DRILLS.slice(1), from.loops),
    counted: from.counted !== false,
    each: from.each === true,
    rises: from.rises === true,
    along: from.along === true,
    late: late >= 0 && late <= LATEST ? late : 0,
    first: fits ? first : 0,
    last: fits ? last : bars,
    large: from.large === true,
  };
}

/** @param {Data} data */
export function recall(data) {
  return sane(data, kept(data.key));
}

/**
 * @param {Data} data
 * @param {Choice} choice
 */
export function keep(data, choice) {
  put(data.key, choice);
}

/** What was kept under a name; nothing where the browser keeps nothing. @param {string} key @returns {unknown} */
export function kept(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? 'null');
  } catch {
    return null;
  }
}

/** Keeps something under a name. @param {string} key @param {unknown} value */
export function put(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // The browser keeps nothing for pages from files, or is full: then it is chosen anew next time.
  }
}

/**
 * The bars after a tap on some of them, while bars are chosen: the first tap begins them, the second ends them, a third begins anew.
 *
 * @param {{first: number, last: number, open: boolean}} stretch open: only begun so far
 * @param {{first: number, last: number}} tapped
 */
export function tap(stretch, tapped) {
  if (!stretch.open) return { ...tapped, open: true };
  return { first: Math.min(stretch.first, tapped.first), last: Math.max(stretch.last, tapped.last), open: false };
}
