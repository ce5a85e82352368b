// The performance list: which strokes a step has, in order of time.

/** @import {Data, Step, Strike} from './data.js' */

/** Numbers of a stroke in the page's list. */
const COLUMNS = 4;

/** A list of strokes, unpacked. */
class List {
  /** @param {number[]} packed */
  constructor(packed) {
    const count = packed.length / COLUMNS;
    this.at = new Float64Array(count);
    this.sound = new Int32Array(count);
    this.loud = new Float64Array(count);
    this.held = new Float64Array(count);
    for (let i = 0, at = 0; i < count; i++) {
      at += packed[COLUMNS * i];
      this.at[i] = at;
      this.sound[i] = packed[COLUMNS * i + 1];
      this.loud[i] = packed[COLUMNS * i + 2] / 1000;
      this.held[i] = packed[COLUMNS * i + 3];
    }
  }

  /**
   * @param {number} i
   * @param {number} [t]
   * @returns {Strike}
   */
  strike(i, t = this.at[i]) {
    return { t, sound: this.sound[i], loud: this.loud[i], held: this.held[i] };
  }
}

/**
 * The first place in a rising list whose value is at least `t`.
 *
 * @param {{length: number}} list
 * @param {(i: number) => number} value
 * @param {number} t
 */
export function firstFrom(list, value, t) {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (value(middle) < t) low = middle + 1;
    else high = middle;
  }
  return low;
}

export class Strokes {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.plain = new List(data.score.strokes);
    this.rolls = data.score.rolls.map(({ percent, strokes }) => ({ percent, list: new List(strokes) }));
  }

  /**
   * The strokes of a step from a time on.
   *
   * @param {Step} step
   * @param {number} from
   * @param {number} percent how fast it is played, which says how many strokes rolls have
   * @returns {Generator<Strike, void, void>}
   */
  *of(step, from, percent) {
    if (step.heard === 'count') yield* this.count(step, from);
    else if (step.heard === 'sticks') yield* this.sticks(step, from);
    else yield* this.played(step, from, percent);
  }

  /**
   * @param {Step} step
   * @param {number} from
   * @returns {Generator<Strike, void, void>}
   */
  *count(step, from) {
    const { bars, clicks } = this.data.score;
    for (const [at, accent] of clicks[bars[step.first].count].at) {
      if (step.from + at >= from) yield this.click(step.from + at, accent);
    }
  }

  /**
   * @param {Step} step
   * @param {number} from
   * @returns {Generator<Strike, void, void>}
   */
  *sticks(step, from) {
    const { bars, clicks } = this.data.score;
    for (const bar of bars.slice(step.first, step.last)) {
      for (const [at, accent] of clicks[bar.clicks].at) {
        if (bar.at + at >= from) yield this.click(bar.at + at, accent);
      }
    }
  }

  /**
   * @param {Step} step
   * @param {number} from
   * @param {number} percent
   * @returns {Generator<Strike, void, void>}
   */
  *played(step, from, percent) {
    const { plain } = this;
    const { bars, keeper } = this.data.score;
    const { entries } = this.data.bank;
    const heard = (/** @type {number} */ sound) => step.heard === 'all' || entries[sound].voice === keeper;
    // What sounds on into the stretch is struck anew where it begins.
    if (from <= step.from) {
      for (const i of bars[step.first].into ?? []) {
        if (heard(plain.sound[i])) yield plain.strike(i, step.from);
      }
    }
    const lists = [plain, this.reading(percent)];
    const next = lists.map((list) => firstFrom(list.at, (i) => list.at[i], Math.max(from, step.from)));
    for (;;) {
      const due = lists.map((list, n) => (next[n] < list.at.length ? list.at[next[n]] : Infinity));
      const n = due[1] < due[0] ? 1 : 0;
      if (due[n] >= step.to) return;
      if (heard(lists[n].sound[next[n]])) yield lists[n].strike(next[n]);
      next[n]++;
    }
  }

  /**
   * The rolls as they are played nearest to a tempo.
   *
   * @param {number} percent
   */
  reading(percent) {
    const far = (/** @type {number} */ other) => Math.abs(Math.log(other / percent));
    return this.rolls.reduce((best, reading) => (far(reading.percent) < far(best.percent) ? reading : best)).list;
  }

  /**
   * @param {number} t
   * @param {boolean} accent
   * @returns {Strike}
   */
  click(t, accent) {
    return { t, ...this.data.bank.clicks[accent ? 0 : 1], held: 0 };
  }
}
