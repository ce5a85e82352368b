// The page put together: what the player does, and what plays.

/** @import {Data, Step} from './data.js' */
/** @import {Choice} from './choice.js' */
import { keep, recall, tap, TEMPOS } from './choice.js';
import { Clock } from './clock.js';
import { named, plan } from './plan.js';
import { bytes, Sound } from './sound.js';
import { Strokes } from './strokes.js';
import { byId, View } from './view.js';

/** How long after the player asks it begins, in seconds. */
const SOON = 0.15;

/** How often strokes are handed out, in milliseconds. */
const OFTEN = 100;

/** How far ahead of the sound notes are lit, in seconds: half the time that a screen shows a picture. */
const HALF_A_PICTURE = 0.008;

class Page {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.choice = recall(data);
    this.open = false;
    this.view = new View(data);
    this.strokes = new Strokes(data);
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {Sound | null} */
    this.sound = null;
    this.clock = new Clock({
      now: () => this.context?.currentTime ?? 0,
      strikes: (step, from, percent) => this.strokes.of(step, from, percent),
      strike: (strike, at, seconds) => this.sound?.strike(strike, at, seconds),
      unstrike: (from) => this.sound?.unstrike(from),
    });
    this.playing = false;
    /** How far the sound's clock is ahead of the page's, in seconds. */
    this.ahead = -Infinity;
    /** @type {Step | null} */
    this.told = null;
    this.timer = 0;
    this.frames = 0;
    /** @type {WakeLockSentinel | null} */
    this.awake = null;
    this.controls();
    this.show();
  }

  controls() {
    const on = (/** @type {string} */ id, /** @type {() => void} */ act) => byId(id).addEventListener('click', act);
    on('play', () => this.toggle());
    on('slower', () => this.tempo(this.choice.tempo - 5));
    on('faster', () => this.tempo(this.choice.tempo + 5));
    on('whole', () => this.stretch({ first: 0, last: this.data.score.bars.length, open: false }));
    on('zoom', () => this.choose({ large: !this.choice.large }));
    byId('tempo').addEventListener('input', (event) => {
      this.tempo(Number(/** @type {HTMLInputElement} */ (event.target).value));
    });
    document.addEventListener('change', (event) => this.changed(/** @type {HTMLInputElement} */ (event.target)));
    document.addEventListener('click', (event) => this.tapped(event));
    document.addEventListener('keydown', (event) => {
      const target = /** @type {Element} */ (event.target);
      const own = target.closest('button, input, summary, a');
      if (event.code !== 'Space' || own || event.repeat) return;
      event.preventDefault();
      this.toggle();
    });
  }

  /** @param {HTMLInputElement} input */
  changed(input) {
    if (input.name === 'way') {
      this.choose({ way: input.value });
      this.sound?.hear(this.way());
    } else if (input.name === 'drill') {
      this.choose({ drill: input.value });
      this.again();
    } else if (input.id === 'counted') {
      this.choose({ counted: input.checked });
    }
  }

  /** @param {MouseEvent} event */
  tapped(event) {
    const button = /** @type {Element} */ (event.target).closest('button');
    if (!button) return;
    // After a tap the space bar is free to play and stop; whoever uses the keyboard keeps the place.
    if (event.detail > 0) button.blur();
    const { form, shown, rows } = button.dataset;
    const { bars, sections } = this.data.score;
    /** @type {{first: number, last: number} | undefined} */
    let tapped;
    if (form !== undefined) tapped = sections[Number(form)];
    if (rows !== undefined) tapped = this.nearest(sections.filter((section) => section.section === Number(rows)));
    if (shown !== undefined) {
      const all = bars.flatMap((_, b) => (this.data.shown[b] === Number(shown) ? [{ first: b, last: b + 1 }] : []));
      tapped = this.nearest(all);
    }
    if (!tapped) return;
    const { first, last } = tapped;
    this.stretch(tap({ ...this.choice, open: this.open }, { first, last }, bars.length));
  }

  /**
   * Of several playings of the same bars, the one that the stretch is nearest to: in it, or the first after its beginning.
   *
   * @param {{first: number, last: number}[]} playings
   */
  nearest(playings) {
    return playings.find((playing) => playing.first >= this.choice.first) ?? playings[0];
  }

  /** @param {{first: number, last: number, open: boolean}} stretch */
  stretch({ first, last, open }) {
    this.open = open;
    this.choose({ first, last });
    this.again();
  }

  /** @param {Partial<Choice>} change */
  choose(change) {
    Object.assign(this.choice, change);
    keep(this.data, this.choice);
    this.show();
  }

  /** @param {number} percent */
  tempo(percent) {
    const tempo = Math.min(Math.max(percent, TEMPOS.least), TEMPOS.most);
    this.choose({ tempo });
    if (this.playing) this.clock.change(tempo / 100);
  }

  way() {
    return this.data.ways.find((way) => way.name === this.choice.way) ?? this.data.ways[0];
  }

  /** Shows what is chosen. */
  show() {
    const { tempo, way, drill, counted, first, last, large } = this.choice;
    const { score } = this.data;
    const slider = /** @type {HTMLInputElement} */ (byId('tempo'));
    slider.value = String(tempo);
    this.view.tempo(tempo);
    for (const input of document.querySelectorAll('input')) {
      if (input.name === 'way') input.checked = input.value === way;
      if (input.name === 'drill') input.checked = input.value === drill;
      if (input.id === 'counted') input.checked = counted;
    }
    const whole = first === 0 && last === score.bars.length;
    const more = this.open ? '; now tap the last one, or Play' : '';
    this.view.say('stretch', whole ? 'the whole tune' : named(first, last) + more);
    byId('whole').toggleAttribute('disabled', whole);
    for (const button of document.querySelectorAll('button[data-form]')) {
      const section = score.sections[Number(/** @type {HTMLElement} */ (button).dataset.form)];
      const inside = !whole && section.first >= first && section.last <= last;
      button.setAttribute('aria-pressed', String(inside));
    }
    /** @type {Set<number>} */
    const chosen = new Set(whole ? [] : this.data.shown.slice(first, last));
    this.view.bars.forEach((bar, i) => bar.setAttribute('aria-pressed', String(chosen.has(i))));
    byId('zoom').setAttribute('aria-pressed', String(large));
    byId('face').classList.toggle('large', large);
    if (!this.playing) this.view.rest(first);
  }

  toggle() {
    if (this.playing) this.stop();
    else void this.play();
  }

  /** Begins anew with what is chosen now, if it plays. */
  again() {
    if (!this.playing || !this.sound) return;
    this.clock.stop();
    this.begin();
  }

  async play() {
    this.playing = true;
    this.buttons();
    // On a small screen the player has chosen further down: now the pan is what counts.
    const { bottom } = byId('face').getBoundingClientRect();
    if (bottom < 100) byId('face').scrollIntoView({ block: 'start' });
    this.stayAwake();
    try {
      const context = (this.context ??= new AudioContext());
      // Some browsers never say that sound is on.
      await Promise.race([context.resume(), new Promise((done) => setTimeout(done, 500))]);
      if (!this.sound) {
        const buffer = await context.decodeAudioData(bytes(byId('bank').textContent ?? ''));
        this.sound = new Sound(context, this.data, buffer);
        this.sound.hear(this.way(), true);
      }
    } catch {
      this.stop();
      this.view.say('said', 'This browser can’t play the sound: try another browser.');
      return;
    }
    if (this.playing) this.begin();
  }

  /** Keeps the screen on while the player's hands are on the sticks, where the browser can. */
  stayAwake() {
    const asked = navigator.wakeLock?.request('screen');
    asked?.then((awake) => {
      if (this.playing) this.awake = awake;
      else void awake.release();
    }, () => {});
  }

  begin() {
    const { drill, first, last, counted, tempo } = this.choice;
    const at = (this.context?.currentTime ?? 0) + SOON;
    this.clock.start(plan(this.data, drill, first, last, counted), at, tempo / 100);
    this.ahead = -Infinity;
    this.told = null;
    this.tick();
    cancelAnimationFrame(this.frames);
    this.frames = requestAnimationFrame(() => this.frame());
  }

  /** @param {boolean} [silent] at once, not ringing out */
  stop(silent = true) {
    this.playing = false;
    this.clock.stop(silent);
    void this.awake?.release().catch(() => {});
    this.awake = null;
    this.buttons();
    this.view.say('said', 'stopped');
    this.view.rest(this.choice.first);
  }

  buttons() {
    this.view.say('play', this.playing ? 'Stop' : 'Play');
    document.body.classList.toggle('plays', this.playing);
  }

  tick() {
    window.clearTimeout(this.timer);
    if (!this.playing) return;
    this.clock.fill();
    this.timer = window.setTimeout(() => this.tick(), OFTEN);
  }

  /** What the player hears at this moment, in the sound's seconds. The sound's own clock goes in steps of some milliseconds. */
  heard() {
    const context = /** @type {AudioContext} */ (this.context);
    const page = performance.now() / 1000;
    const ahead = context.currentTime - page;
    // The furthest that it has been is the truest, as long as the two clocks do not part.
    this.ahead = ahead > this.ahead || ahead < this.ahead - 0.2 ? ahead : this.ahead - 1e-5;
    return page + this.ahead - (context.outputLatency || 0);
  }

  frame() {
    if (!this.playing) return;
    const heard = this.heard();
    const { end } = this.clock;
    if (end !== null && heard >= end) {
      this.stop(false);
      return;
    }
    const place = this.clock.place(heard + HALF_A_PICTURE);
    if (place && !place.early) {
      this.view.show(place.step, place.t, this.clock.after(place.laid));
      if (place.step !== this.told) {
        this.told = place.step;
        this.view.say('said', place.step.what);
        const told = this.choice.drill !== 'once' && place.step.heard !== 'count';
        this.view.say('step', told ? `${place.step.what}:` : '');
      }
    }
    this.frames = requestAnimationFrame(() => this.frame());
  }
}

new Page(JSON.parse(byId('data').textContent ?? ''));
