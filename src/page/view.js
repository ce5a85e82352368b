// What moves on the page: the pan's notes, the cells under the count, and where in the tune that is.

/** @import {Data, Step} from './data.js' */
import { firstFrom } from './strokes.js';

/** Classes that light a note or a cell. */
const STATES = ['now', 'next', 'held'];

/**
 * The element of an id; the page has it.
 *
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`no element ${id}`);
  return element;
}

/**
 * @param {Element} element
 * @param {string | null} state
 */
function light(element, state) {
  for (const name of STATES) {
    if (element.classList.contains(name) !== (name === state)) element.classList.toggle(name, name === state);
  }
}

/**
 * The number of the last entry at or before a time; -1 before the first.
 *
 * @template T
 * @param {T[]} list
 * @param {(entry: T) => number} at
 * @param {number} t
 */
function lastBy(list, at, t) {
  return firstFrom(list, (i) => at(list[i]), t + 1) - 1;
}

export class View {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    /** @type {Map<string, Element[]>} by the number of their row and what is struck */
    this.notes = new Map();
    for (const note of document.querySelectorAll('#face .note')) {
      const { key, mark, row } = /** @type {SVGElement} */ (note).dataset;
      const name = `${row ?? 0} ${key ?? mark ?? ''}`;
      this.notes.set(name, [...(this.notes.get(name) ?? []), note]);
    }
    this.bars = [...document.querySelectorAll('.bar[data-shown]')];
    this.cells = this.bars.map((bar) => [...bar.querySelectorAll('.cell')]);
    /** @type {Element[]} cells of the bar that is shown large */
    this.here = [];
    /** @type {Map<Element, string>} what is lit */
    this.lit = new Map();
    this.bar = -1;
    this.then = -1;
    /** @type {Element | null} */
    this.playing = null;
    /** Beats a minute of the section that is shown, as written. */
    this.written = 0;
    this.percent = 100;
  }

  /**
   * Says how fast it is played, in percent and in the beats a minute of the section that is shown.
   *
   * @param {number} percent
   */
  tempo(percent) {
    this.percent = percent;
    const beats = Math.round((this.written * percent) / 100);
    this.say('percent', `${percent} %`);
    this.say('beats', String(beats));
    byId('tempo').setAttribute('aria-valuetext', `${percent} percent, ${beats} beats a minute`);
  }

  /**
   * Shows a moment.
   *
   * @param {Step} step
   * @param {number} t score time
   * @param {Step | null} after the step that follows
   */
  show(step, t, after) {
    const { score } = this.data;
    if (step.heard === 'count') {
      this.count(step, t);
      return;
    }
    const b = Math.min(Math.max(lastBy(score.bars, (bar) => bar.at, t), step.first), step.last - 1);
    this.place(step, b, after);
    this.chord(t);
    /** @type {Map<Element, string>} */
    const lit = new Map();
    const last = score.onsets.map((onsets) => lastBy(onsets, (onset) => onset.at, t));
    this.next(lit, last.map((o) => o + 1), step, after);
    last.forEach((o, row) => {
      const onset = score.onsets[row][o];
      const sounds = onset !== undefined && t < onset.at + onset.length;
      const rolled = sounds && onset.rolled === true;
      if (sounds) this.strike(lit, row, o, rolled ? 'held' : 'now');
      this.cell(lit, row, b, t, rolled);
    });
    this.change(lit);
  }

  /**
   * @param {Step} step
   * @param {number} t
   */
  count(step, t) {
    const { score } = this.data;
    this.place({ ...step, heard: 'all' }, step.first, null);
    this.chord(score.bars[step.first].at);
    this.bar = -1;
    const { at } = score.clicks[score.bars[step.first].count];
    const beats = at.filter(([click]) => click <= t - step.from).length;
    this.say('where', `count-in: ${beats || 1} of ${at.length}`);
    /** @type {Map<Element, string>} */
    const lit = new Map();
    this.soonest(lit, this.from(score.bars[step.first].at), Infinity);
    this.change(lit);
  }

  /**
   * For each row the number of its first onset at or after a time.
   *
   * @param {number} t
   */
  from(t) {
    return this.data.score.onsets.map((onsets) => firstFrom(onsets, (i) => onsets[i].at, t));
  }

  /**
   * Lights what is struck next: in this step, or where the next one begins.
   *
   * @param {Map<Element, string>} lit
   * @param {number[]} next for each row the number of its next onset
   * @param {Step} step
   * @param {Step | null} after
   */
  next(lit, next, step, after) {
    if (!this.soonest(lit, next, step.to) && after) this.soonest(lit, this.from(after.from), after.to);
  }

  /**
   * Lights the first of some onsets, one a row, and those that are struck together with it, if they come before a time.
   *
   * @param {Map<Element, string>} lit
   * @param {number[]} next
   * @param {number} before
   */
  soonest(lit, next, before) {
    const at = next.map((o, row) => this.data.score.onsets[row][o]?.at ?? Infinity);
    const first = Math.min(...at);
    if (first >= before) return false;
    at.forEach((time, row) => {
      if (time === first) this.strike(lit, row, next[row], 'next');
    });
    return true;
  }

  /**
   * Lights what is struck.
   *
   * @param {Map<Element, string>} lit
   * @param {number} row
   * @param {number} o
   * @param {string} state
   */
  strike(lit, row, o, state) {
    const onset = this.data.score.onsets[row][o];
    onset.struck.forEach((name, i) => {
      for (const note of this.notes.get(`${row} ${name}`) ?? []) {
        lit.set(note, state);
        const stick = note.querySelector('.stick');
        const letter = onset.sticks?.[i] ?? '';
        if (stick && stick.textContent !== letter) stick.textContent = letter;
      }
    });
  }

  /**
   * Lights a row's cell of a moment, in the rows and in the bar that is shown large.
   *
   * @param {Map<Element, string>} lit
   * @param {number} row
   * @param {number} b
   * @param {number} t
   * @param {boolean} rolled
   */
  cell(lit, row, b, t, rolled) {
    const shown = this.data.shown[b];
    if (shown < 0) return;
    const starts = this.data.cells[shown];
    const column = lastBy(starts, (at) => at, t - this.data.score.bars[b].at);
    if (column < 0) return;
    const state = rolled ? 'held' : 'now';
    for (const cells of [this.cells[shown], this.here]) {
      const cell = cells[row * starts.length + column];
      if (cell) lit.set(cell, state);
    }
  }

  /** @param {Map<Element, string>} lit */
  change(lit) {
    for (const element of this.lit.keys()) {
      if (lit.has(element)) continue;
      light(element, null);
      const stick = element.querySelector('.stick');
      if (stick?.textContent) stick.textContent = '';
    }
    for (const [element, state] of lit) {
      if (this.lit.get(element) !== state) light(element, state);
    }
    this.lit = lit;
    this.follow();
  }

  /** On a pan that is shown larger than the page is wide, keeps what is lit in view. */
  follow() {
    const face = byId('face');
    if (face.scrollWidth <= face.clientWidth + 1) return;
    const lit = [...this.lit].find(([element, state]) => state !== 'next' && face.contains(element));
    if (!lit) return;
    const [note, frame] = [lit[0].getBoundingClientRect(), face.getBoundingClientRect()];
    const far = { x: note.x + note.width / 2 - frame.x, y: note.y + note.height / 2 - frame.y };
    const out = (/** @type {number} */ at, /** @type {number} */ size) => at < 0.12 * size || at > 0.88 * size;
    if (out(far.x, frame.width) || out(far.y, frame.height)) {
      face.scrollBy({ left: far.x - frame.width / 2, top: far.y - frame.height / 2, behavior: 'instant' });
    }
  }

  /**
   * Shows which bar it is, once it changes.
   *
   * @param {Step} step
   * @param {number} b
   * @param {Step | null} after
   */
  place(step, b, after) {
    const { score, shown } = this.data;
    const then = b + 1 < step.last ? b + 1 : (after?.first ?? -1);
    const at = score.bars[b].at;
    if (b === this.bar && then === this.then) return;
    this.bar = b;
    this.then = then;
    const section = score.sections.findLast((section) => section.first <= b);
    this.written = section?.tempo ?? 0;
    this.tempo(this.percent);
    const of = `${b + 1} of ${score.bars.length}`;
    this.say('where', `${section?.name ?? ''}, bar ${score.bars[b].bar + 1} (${of})`);
    const words = score.words[lastBy(score.words, ([at]) => at, at)];
    this.say('words', words && words[0] >= at ? words[1] : '');
    this.playing?.classList.remove('playing');
    this.playing = shown[b] < 0 ? null : this.bars[shown[b]];
    this.playing?.classList.add('playing');
    this.large(shown[b], then < 0 ? -1 : shown[then]);
  }

  /** @param {number} t */
  chord(t) {
    const { chords } = this.data.score;
    this.say('chord', chords[lastBy(chords, ([at]) => at, t)]?.[1] ?? '');
  }

  /**
   * Shows a bar large, and the one after it.
   *
   * @param {number} now
   * @param {number} then
   */
  large(now, then) {
    const copies = [now, then].flatMap((bar, i) => {
      const picture = bar < 0 ? null : this.bars[bar].querySelector('svg');
      if (!picture) return [];
      const copy = /** @type {Element} */ (picture.cloneNode(true));
      for (const cell of copy.querySelectorAll('.cell')) light(cell, null);
      copy.classList.add(i === 0 ? 'first' : 'second');
      return [copy];
    });
    byId('cells').replaceChildren(...copies);
    this.here = now < 0 ? [] : [...copies[0].querySelectorAll('.cell')];
    if (now < 0 && byId('words').textContent === '') this.say('words', 'you rest here');
  }

  /** Shows that nothing plays, and where the stretch begins. */
  rest(/** @type {number} */ first) {
    this.change(new Map());
    this.say('step', '');
    this.bar = -1;
    this.playing?.classList.remove('playing');
    this.playing = null;
    const { bars } = this.data.score;
    if (!bars[first]) return;
    const step = /** @type {Step} */ ({ from: bars[first].at, to: bars[first].end, first, last: first + 2 });
    if (first + 1 >= bars.length) step.last = first + 1;
    this.place(step, first, null);
    this.chord(step.from);
  }

  /**
   * @param {string} id
   * @param {string} text
   */
  say(id, text) {
    const element = byId(id);
    if (element.textContent !== text) element.textContent = text;
  }
}
