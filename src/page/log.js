// What was practised, how often and how fast: kept on this device alone.

/** @import {Data} from './data.js' */
import { kept, put } from './choice.js';

/** The most stretches of bars that are kept: the ones played last. */
const MOST = 12;

/**
 * A stretch of bars that was played to its end.
 *
 * @typedef {object} Played
 * @property {string} bars
 * @property {number} times
 * @property {number} fastest percent
 */

export class Log {
  /** @param {Data} data */
  constructor(data) {
    this.key = `${data.key} played`;
    this.list = sound(kept(this.key));
  }

  /**
   * Notes that bars were played to their end.
   *
   * @param {string} bars
   * @param {number} percent
   */
  note(bars, percent) {
    const before = this.list.find((played) => played.bars === bars);
    const fastest = Math.max(Math.round(percent), before ? before.fastest : 0);
    const now = { bars, times: (before ? before.times : 0) + 1, fastest };
    this.list = [now, ...this.list.filter((played) => played !== before)].slice(0, MOST);
    put(this.key, this.list);
  }

  forget() {
    this.list = [];
    put(this.key, this.list);
  }

  /** The list as sentences, the stretch played last first. */
  told() {
    return this.list.map(({ bars, times, fastest }) => `${bars}: ${times === 1 ? 'once' : `${times} times`}, at ${fastest} % at the fastest`);
  }
}

/** A list as it was kept, as far as it makes sense. @param {unknown} list @returns {Played[]} */
function sound(list) {
  const fits = (/** @type {any} */ one) =>
    typeof one === 'object' && one !== null && typeof one.bars === 'string' && Number.isInteger(one.times) && Number.isInteger(one.fastest);
  return Array.isArray(list) ? list.filter(fits).slice(0, MOST) : [];
}
