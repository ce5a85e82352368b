// What is lit at a moment, worked out from the score alone: every stroke once for itself, and always what comes next.

/** @import {Onset, Score, Step} from './data.js' */
import { firstFrom } from './strokes.js';

/** How long a note is dark before it is struck again, in seconds, and at most in parts of the time between the two strokes. */
export const DARK = { seconds: 0.07, share: 0.4 };

/** How many strokes of one note in a row are counted at most: who plays on and on needs no count. */
export const MOST_AGAIN = 17;

/**
 * What a note of a row is doing.
 *
 * @typedef {object} Light
 * @property {'now' | 'held' | null} state
 * @property {boolean} next whether it is struck next
 * @property {boolean} again whether that is the same stroke once more
 * @property {number} left how often it is struck in a row from the next stroke on
 * @property {string} stick L or R, where it is known: of the stroke that sounds, else of the next one
 * @property {number} turn number of the stroke, so that two strokes can be told apart
 *
 * @typedef {object} Place a stroke: its row, and its number there
 * @property {number} row
 * @property {number} o
 *
 * @typedef {object} Moment
 * @property {Map<string, Light>} lit by the number of their row and what is struck
 * @property {Place[]} now what sounds, also where it is dark for a moment
 * @property {Place[]} next what is struck next
 * @property {number} wait microseconds until the next stroke; Infinity when none comes
 */

export class Lights {
  /** @param {Score} score */
  constructor(score) {
    this.score = score;
    /** How often what an onset strikes is struck in a row from there on. */
    this.runs = score.onsets.map((onsets) => {
      const runs = new Uint8Array(onsets.length);
      for (let o = onsets.length - 1; o >= 0; o--) {
        const on = o + 1 < onsets.length && alike(onsets[o], onsets[o + 1]) ? runs[o + 1] : 0;
        runs[o] = Math.min(on + 1, MOST_AGAIN);
      }
      return runs;
    });
  }

  /**
   * For each row the number of its first onset at or after a time.
   *
   * @param {number} t
   */
  from(t) {
    return this.score.onsets.map((onsets) => firstFrom(onsets, (i) => onsets[i].at, t));
  }

  /**
   * What is lit.
   *
   * @param {Step} step
   * @param {number} t score time
   * @param {Step | null} after the step that follows
   * @param {number} scale seconds that a microsecond takes
   * @returns {Moment}
   */
  at(step, t, after, scale) {
    const { onsets } = this.score;
    const last = onsets.map((row) => firstFrom(row, (i) => row[i].at, t + 1) - 1);
    const here = this.soonest(last.map((o) => o + 1), step.to);
    const then = here.length || !after || after.heard === 'count' ? here : this.soonest(this.from(after.from), after.to);
    const there = then.length || !after || after.heard !== 'count' ? then : this.soonest(this.from(this.begin(after)), Infinity);
    const wait = this.wait(step, t, after, there, here.length > 0);
    /** @type {Moment} */
    const moment = { lit: new Map(), now: [], next: there, wait };
    last.forEach((o, row) => {
      const onset = onsets[row][o];
      if (onset && t < onset.at + onset.length) moment.now.push({ row, o });
      if (onset && t < this.until(row, o, step, there, scale)) {
        this.strike(moment, row, o, onset.rolled ? 'held' : 'now');
      }
    });
    for (const { row, o } of there) this.coming(moment, row, o, last[row], step);
    return moment;
  }

  /**
   * What is struck first from a time on, before anything plays: while it is counted in, and at rest.
   *
   * @param {number} t
   * @returns {Moment}
   */
  ready(t) {
    const next = this.soonest(this.from(t), Infinity);
    /** @type {Moment} */
    const moment = { lit: new Map(), now: [], next, wait: Infinity };
    for (const { row, o } of next) this.coming(moment, row, o, -1, null);
    return moment;
  }

  /** Where the bars of a step begin. @param {Step} step */
  begin(step) {
    return this.score.bars[step.first].at;
  }

  /**
   * Until when a stroke is lit: as long as it sounds, and dark for a moment before it is struck once more.
   *
   * @param {number} row
   * @param {number} o
   * @param {Step} step
   * @param {Place[]} next
   * @param {number} scale
   */
  until(row, o, step, next, scale) {
    const onset = this.score.onsets[row][o];
    const end = onset.at + onset.length;
    const coming = this.score.onsets[row][o + 1];
    const before = (/** @type {number} */ at) => Math.min(end, at - Math.min(DARK.seconds / scale, DARK.share * (at - onset.at)));
    if (coming && coming.at < step.to) return shared(onset, coming) ? before(coming.at) : Math.min(end, coming.at);
    // At the seam of a loop the next stroke is that of the round to come.
    const seam = next.some((place) => place.row === row && shared(onset, this.score.onsets[row][place.o]));
    return seam ? before(step.to) : Math.min(end, step.to);
  }

  /**
   * The first of some onsets, one a row, and those that are struck together with it, if they come before a time.
   *
   * @param {number[]} next
   * @param {number} before
   * @returns {Place[]}
   */
  soonest(next, before) {
    const at = next.map((o, row) => (this.score.onsets[row][o] ? this.score.onsets[row][o].at : Infinity));
    const first = Math.min(...at);
    if (first >= before || first === Infinity) return [];
    return at.flatMap((time, row) => (time === first ? [{ row, o: next[row] }] : []));
  }

  /**
   * @param {Step} step
   * @param {number} t
   * @param {Step | null} after
   * @param {Place[]} next
   * @param {boolean} here whether that is in this step
   */
  wait(step, t, after, next, here) {
    if (!next.length) return Infinity;
    const { at } = this.score.onsets[next[0].row][next[0].o];
    return here || !after ? at - t : step.to - t + (at - this.begin(after));
  }

  /**
   * @param {Moment} moment
   * @param {number} row
   * @param {number} o
   * @param {'now' | 'held'} state
   */
  strike(moment, row, o, state) {
    const onset = this.score.onsets[row][o];
    onset.struck.forEach((name, i) => {
      const stick = (onset.sticks || [])[i] || '';
      moment.lit.set(`${row} ${name}`, { state, next: false, again: false, left: 0, stick, turn: o });
    });
  }

  /**
   * @param {Moment} moment
   * @param {number} row
   * @param {number} o what is struck next
   * @param {number} last what was struck last in the row; -1 when nothing was
   * @param {Step | null} step
   */
  coming(moment, row, o, last, step) {
    const [onset, before] = [this.score.onsets[row][o], this.score.onsets[row][last]];
    const same = before !== undefined && step !== null && before.at >= step.from && alike(before, onset);
    onset.struck.forEach((name, i) => {
      const key = `${row} ${name}`;
      const stick = (onset.sticks || [])[i] || '';
      const lit = moment.lit.get(key) || { state: null, next: true, again: false, left: 0, stick, turn: o };
      const again = same || lit.state !== null;
      moment.lit.set(key, { ...lit, next: true, again, left: this.runs[row][o] });
    });
  }
}

/** Whether two onsets strike the same. @param {Onset} a @param {Onset} b */
function alike(a, b) {
  return a.struck.length === b.struck.length && a.struck.every((name) => b.struck.includes(name));
}

/** Whether two onsets have something in common. @param {Onset} a @param {Onset} b */
function shared(a, b) {
  return a.struck.some((name) => b.struck.includes(name));
}
