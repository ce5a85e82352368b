// The player: rests, starts, plays or is paused. However fast it is told to play, pause or go elsewhere, one stream of strokes sounds.

/** @import {Data, Step, Way} from './data.js' */
import { Clock } from './clock.js';
import { countIn } from './plan.js';
import { bytes, decoded, Sound } from './sound.js';
import { Strokes } from './strokes.js';
import { byId, lastBy } from './view.js';

/** How long after the player asks it begins, in seconds. */
const SOON = 0.15;

/** How often strokes are handed out, in milliseconds. */
const OFTEN = 100;

/** How long a browser gets to say that its sound is on, in milliseconds. */
const PATIENCE = 1500;

export const TROUBLE = {
  none: 'This browser has no sound for pages like this one. The lights go on without it. To hear the part, open this file in your browser itself, or in a newer one.',
  broken: 'This browser can’t play the sound of this page. The lights go on without it. To hear the part, open this file in another browser, or on another device.',
  waits: 'The sound is not on yet. Tap Play once more.',
  off: 'The sound does not start on this device. The lights go on without it. See whether a speaker or headphones are connected, then tap Pause and Play.',
  interrupted: 'The sound was interrupted, by a call or another app. Tap Go on to carry on from here.',
};

/**
 * What the player asks of the page.
 *
 * @typedef {object} Works
 * @property {(from: number | null) => Iterator<Step, void, void>} steps what is practised, from a bar on
 * @property {() => {counted: boolean, tempo: number, way: Way}} how
 * @property {() => void} changed the state has changed
 * @property {(text: string) => void} trouble says what is wrong; nothing when nothing is
 */

export class Player {
  /**
   * @param {Data} data
   * @param {Works} works
   */
  constructor(data, works) {
    this.data = data;
    this.works = works;
    /** @type {'rest' | 'starting' | 'playing' | 'paused'} */
    this.state = 'rest';
    /** @type {number | null} the bar from which it is to play; null: from the first */
    this.from = null;
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {Sound | null} */
    this.sound = null;
    /** @type {Promise<AudioBuffer> | null} */
    this.decoding = null;
    /** Whether it plays without sound, since the browser has none. */
    this.deaf = false;
    /** Whether it was asked for another tap already, since the sound was not on. */
    this.waited = false;
    const strokes = new Strokes(data);
    this.clock = new Clock({
      now: () => this.now(),
      strikes: (step, from, percent) => strokes.of(step, from, percent),
      strike: (strike, at, seconds) => (this.deaf ? undefined : this.sound?.strike(strike, at, seconds)),
      unstrike: (from) => this.sound?.unstrike(from),
    });
    /** How far the sound's clock is ahead of the page's, in seconds. */
    this.ahead = -Infinity;
    this.timer = 0;
    /** Counts what was asked for: what is not the last any more is dropped. */
    this.turn = 0;
    /** @type {WakeLockSentinel | null} */
    this.awake = null;
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState === 'visible' && this.state === 'playing') this.stayAwake();
    });
  }

  /** The time by the clock that strokes are placed by, in seconds. */
  now() {
    return this.context && !this.deaf ? this.context.currentTime : performance.now() / 1000;
  }

  /** @param {Player['state']} state */
  become(state) {
    this.state = state;
    if (state === 'playing') this.stayAwake();
    if (state === 'rest' || state === 'paused') this.sleep();
    this.works.changed();
  }

  async play() {
    if (this.state === 'starting' || this.state === 'playing') return;
    const turn = ++this.turn;
    this.become('starting');
    const trouble = await this.ready();
    if (turn !== this.turn) return;
    // A second time it would not help to ask for another tap.
    const said = trouble === 'waits' && this.waited ? 'off' : trouble;
    this.works.trouble(said ? TROUBLE[said] : '');
    if (trouble === 'waits' && !this.waited) {
      this.waited = true;
      this.become(this.clock.held ? 'paused' : 'rest');
      return;
    }
    this.deaf = trouble !== null;
    if (!trouble) this.waited = false;
    this.begin();
  }

  /** Makes the sound ready; gives what is wrong, if anything is. @returns {Promise<'none' | 'broken' | 'waits' | null>} */
  async ready() {
    /** @type {typeof AudioContext | undefined} */
    const Context = window.AudioContext || /** @type {any} */ (window).webkitAudioContext;
    if (!Context) return 'none';
    try {
      if (!this.context) {
        this.context = new Context();
        this.context.onstatechange = () => this.interrupted();
      }
      const { context } = this;
      // Some browsers never say that sound is on.
      await Promise.race([context.resume(), new Promise((done) => setTimeout(done, PATIENCE))]);
      this.decoding = this.decoding || decoded(context, bytes(byId('bank').textContent || ''));
      const buffer = await this.decoding;
      if (!this.sound) {
        this.sound = new Sound(context, this.data, buffer);
        this.sound.hear(this.works.how().way, true);
      }
      return context.state === 'running' ? null : 'waits';
    } catch {
      this.decoding = null;
      return 'broken';
    }
  }

  /** The sound has stopped or goes on without the page's doing: a call came in, or other headphones. */
  interrupted() {
    if (this.state !== 'playing' || this.deaf || this.context?.state === 'running') return;
    this.pause();
    this.works.trouble(TROUBLE.interrupted);
  }

  /** Begins, or goes on where it was paused: after a count-in from the beginning of that bar, else from that very place. */
  begin() {
    const { counted, tempo } = this.works.how();
    const at = this.now() + SOON;
    const { held } = this.clock;
    if (held && this.from === null) {
      const { step, t } = held;
      this.clock.tempo = tempo / 100;
      if (step.heard === 'count') {
        this.clock.goOn(at, step.from);
      } else if (counted) {
        const { bars } = this.data.score;
        const b = Math.max(step.first, lastBy(bars, (bar) => bar.at, t));
        this.clock.goOn(at, bars[b].at, countIn(this.data, b, step.last, step.percent));
      } else {
        this.clock.goOn(at);
      }
    } else {
      this.clock.start(this.works.steps(this.from), at, tempo / 100);
    }
    this.from = null;
    this.ahead = -Infinity;
    this.become('playing');
    this.tick();
  }

  pause() {
    if (this.state !== 'starting' && this.state !== 'playing') return;
    this.turn++;
    const held = this.state === 'playing' ? this.clock.hold() : this.clock.held;
    this.become(held ? 'paused' : 'rest');
  }

  /** Ends. @param {boolean} [silent] at once, not ringing out */
  stop(silent = true) {
    this.turn++;
    this.clock.stop(silent);
    this.from = null;
    this.become('rest');
  }

  /**
   * Goes elsewhere: plays on from a bar if it plays, else waits there.
   *
   * @param {number | null} from null: where what is practised begins
   */
  go(from) {
    this.clock.stop();
    this.from = from;
    if (this.state === 'playing') this.begin();
    else if (this.state === 'paused') this.become('rest');
    else this.works.changed();
  }

  /** Changes the tempo. @param {number} percent */
  tempo(percent) {
    if (this.state === 'playing') this.clock.change(percent / 100);
  }

  tick() {
    window.clearTimeout(this.timer);
    if (this.state !== 'playing') return;
    this.clock.fill();
    this.timer = window.setTimeout(() => this.tick(), OFTEN);
  }

  /** What the player hears at this moment, in the clock's seconds. The sound's own clock goes in steps of some milliseconds. */
  heard() {
    const page = performance.now() / 1000;
    if (!this.context || this.deaf) return page;
    const ahead = this.context.currentTime - page;
    // The furthest that it has been is the truest, as long as the two clocks do not part.
    this.ahead = ahead > this.ahead || ahead < this.ahead - 0.2 ? ahead : this.ahead - 1e-5;
    return page + this.ahead - (this.context.outputLatency || 0);
  }

  /** Keeps the screen on while the player's hands are on the sticks, where the browser can. */
  stayAwake() {
    if (this.awake && !this.awake.released) return;
    const asked = navigator.wakeLock?.request('screen');
    asked?.then((awake) => {
      if (this.state === 'playing') this.awake = awake;
      else void awake.release();
    }, () => {});
  }

  sleep() {
    void this.awake?.release().catch(() => {});
    this.awake = null;
  }
}
