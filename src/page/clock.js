// The clock: lays steps end to end in seconds, and hands out their strokes a good while before they are due, so that a busy page
// delays none. When the tempo changes, what has not begun is taken back and handed out anew.

/** @import {Step, Strike} from './data.js' */

/** How long before they are due strokes are handed out, in seconds: well over the longest that a page is ever kept busy. */
export const AHEAD = 1.5;

/** How soon a change of tempo takes hold, in seconds. */
export const GUARD = 0.03;

/** A stroke that is so late, in seconds, is left out: better a gap than a stumble. */
export const LATE = 0.05;

/**
 * A step in its place in time.
 *
 * @typedef {object} Laid
 * @property {Step} step
 * @property {number} start when it begins, in seconds
 * @property {number} begins the score time with which it begins: its first, unless it goes on after a pause
 * @property {number} at seconds of the anchor
 * @property {number} t score time of the anchor
 * @property {Iterator<Strike, void, void>} strikes
 * @property {Strike | null} next
 */

/**
 * What the clock works with.
 *
 * @typedef {object} Works
 * @property {() => number} now seconds
 * @property {(step: Step, from: number, percent: number) => Iterator<Strike, void, void>} strikes
 * @property {(strike: Strike, at: number, seconds: (micros: number) => number) => void} strike
 * @property {(from: number) => void} unstrike takes back what begins at this time or later
 */

export class Clock {
  /** @param {Works} works */
  constructor(works) {
    this.works = works;
    /** @type {Iterator<Step, void, void>} */
    this.steps = [][Symbol.iterator]();
    /** @type {Step[]} steps that were taken and given back */
    this.waiting = [];
    /** @type {Laid[]} */
    this.laid = [];
    this.tempo = 1;
    /** @type {number | null} when it is over, once that is known */
    this.end = null;
    /** @type {{step: Step, t: number} | null} where it was when it was held */
    this.held = null;
    /** @type {{step: Step, t: number} | null} a step that comes next, not from its beginning on */
    this.then = null;
  }

  /**
   * Begins.
   *
   * @param {Iterator<Step, void, void>} steps
   * @param {number} at seconds
   * @param {number} tempo 1 is the written one
   */
  start(steps, at, tempo) {
    this.clear(steps);
    this.tempo = tempo;
    this.lay(at);
    this.fill();
  }

  /**
   * Stops.
   *
   * @param {boolean} [silent] takes back what sounds too; else it rings out
   */
  stop(silent = true) {
    this.clear([][Symbol.iterator]());
    if (silent) this.works.unstrike(-Infinity);
  }

  /** Forgets all steps but those to come. @param {Iterator<Step, void, void>} steps */
  clear(steps) {
    this.steps = steps;
    this.waiting = [];
    this.laid = [];
    this.end = null;
    this.held = null;
    this.then = null;
  }

  /** Stops where it is, so that it can go on from there; gives where that is, or nothing where nothing played. */
  hold() {
    const place = this.place(this.works.now());
    this.works.unstrike(-Infinity);
    if (place) {
      this.giveBack(this.laid.indexOf(place.laid) + 1);
      this.held = { step: place.step, t: place.t };
    }
    this.laid = [];
    this.end = null;
    return this.held;
  }

  /**
   * Goes on from where it was held.
   *
   * @param {number} at seconds
   * @param {number} [t] another score time in the step that was held
   * @param {Step | null} [before] a step to come first
   */
  goOn(at, t, before = null) {
    if (!this.held) return;
    const { step, t: was } = this.held;
    this.held = null;
    if (before) {
      this.then = { step, t: t ?? was };
      this.lay(at, before);
    } else {
      this.lay(at, step, t ?? was);
    }
    this.fill();
  }

  /** Gives back the steps that are laid from a number on, to be laid again. @param {number} from */
  giveBack(from) {
    const [first, ...others] = this.laid.splice(from);
    if (!first) return;
    const whole = first.begins === first.step.from;
    this.waiting.unshift(...(whole ? [first, ...others] : others).map((laid) => laid.step));
    if (!whole) this.then = { step: first.step, t: first.begins };
  }

  /** Hands out what is due soon; to be called several times a second. */
  fill() {
    const now = this.works.now();
    const until = now + AHEAD;
    this.laid = this.laid.filter((laid, i) => i === this.laid.length - 1 || this.over(laid) > now - AHEAD);
    /** @type {Laid | undefined} */
    let laid = this.laid[this.laid.length - 1];
    while (laid) {
      for (; laid.next; laid.next = this.draw(laid)) {
        const at = this.seconds(laid, laid.next.t);
        if (at >= until) return;
        const scale = this.scale(laid.step);
        if (at >= now - LATE) this.works.strike(laid.next, at, (micros) => micros * scale);
      }
      const over = this.over(laid);
      if (over >= until || this.end !== null) return;
      laid = this.lay(over);
    }
  }

  /**
   * Lays a step down, the next one if none is given, or ends.
   *
   * @param {number} at
   * @param {Step} [given]
   * @param {number} [t] where in it to begin
   * @returns {Laid | undefined}
   */
  lay(at, given, t) {
    if (!given && this.then) {
      const { step, t } = this.then;
      this.then = null;
      return this.lay(at, step, t);
    }
    const taken = given ?? this.waiting.shift() ?? this.steps.next().value;
    if (!taken) {
      this.end = at;
      return undefined;
    }
    const begins = t ?? taken.from;
    /** @type {Laid} */
    const laid = { step: taken, start: at, at, begins, t: begins, strikes: this.drawn(taken, begins), next: null };
    laid.next = this.draw(laid);
    this.laid.push(laid);
    return laid;
  }

  /**
   * @param {Step} step
   * @param {number} from
   */
  drawn(step, from) {
    return this.works.strikes(step, from, step.percent * this.tempo);
  }

  /** @param {Laid} laid */
  draw(laid) {
    return laid.strikes.next().value ?? null;
  }

  /**
   * Seconds that a microsecond of a step takes.
   *
   * @param {Step} step
   */
  scale(step) {
    return 1e-6 / ((step.percent / 100) * this.tempo);
  }

  /**
   * @param {Laid} laid
   * @param {number} t
   */
  seconds(laid, t) {
    return laid.at + (t - laid.t) * this.scale(laid.step);
  }

  /** @param {Laid} laid */
  over(laid) {
    return this.seconds(laid, laid.step.to);
  }

  /**
   * Changes the tempo from now on.
   *
   * @param {number} tempo
   */
  change(tempo) {
    const from = this.works.now() + GUARD;
    const place = this.place(from);
    if (!place) this.tempo = tempo;
    if (!place || tempo === this.tempo) return;
    this.works.unstrike(from);
    this.giveBack(this.laid.indexOf(place.laid) + 1);
    this.tempo = tempo;
    this.end = null;
    const { laid } = place;
    laid.at = Math.max(from, laid.start);
    laid.t = place.t;
    laid.strikes = this.drawn(laid.step, place.t);
    laid.next = this.draw(laid);
    this.fill();
  }

  /**
   * Where the music is at a time: the step and the score time in it, and whether it is yet to begin; nothing after the end.
   *
   * @param {number} at seconds
   */
  place(at) {
    const begun = this.laid.filter((laid) => laid.start <= at);
    const laid = begun[begun.length - 1] ?? this.laid[0];
    if (!laid || at >= this.over(laid)) return null;
    const t = Math.max(laid.step.from, laid.t + (at - laid.at) / this.scale(laid.step));
    return { laid, step: laid.step, t, early: at < laid.start };
  }

  /**
   * The step after one that is laid; nothing after the last.
   *
   * @param {Laid} laid
   * @returns {Step | null}
   */
  after(laid) {
    const known = this.laid[this.laid.indexOf(laid) + 1]?.step ?? this.then?.step ?? this.waiting[0];
    if (known) return known;
    const next = this.end === null ? this.steps.next().value : undefined;
    if (next) this.waiting.push(next);
    return next ?? null;
  }
}
