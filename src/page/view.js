// What moves on the page: the pan's notes, what is struck now and next in large, the cells under the count, and where that is.

/** @import {Data, Step} from './data.js' */
/** @import {Moment, Place} from './lights.js' */
import { Face } from './face.js';
import { Lights } from './lights.js';
import { numbered } from './plan.js';
import { firstFrom } from './strokes.js';

/** Classes that light a cell. */
const STATES = ['now', 'held', 'rest'];

/** The least and the largest size of the bar that plays, in rem. */
const CELLS = { least: 0.9, most: 1.2 };

/** The least letters in which it is said what is struck, in pixels. */
const LEAST_SAID = 12;

/** From how many bars on it is said how long the player rests. */
const LONG_REST = 2;

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
 * Says something in an element, unless it stands there already.
 *
 * @param {string} id
 * @param {string} text
 */
export function say(id, text) {
  const element = byId(id);
  if (element.textContent !== text) element.textContent = text;
}

/**
 * The number of the last entry at or before a time; -1 before the first.
 *
 * @template T
 * @param {T[]} list
 * @param {(entry: T) => number} at
 * @param {number} t
 */
export function lastBy(list, at, t) {
  return firstFrom(list, (i) => at(list[i]), t + 1) - 1;
}

export class View {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.lights = new Lights(data.score);
    this.face = new Face(byId('face'));
    this.bars = [...document.querySelectorAll('.bar[data-shown]')];
    /** @type {Element[][]} cells of each bar, once they are asked for */
    this.cells = [];
    /** @type {Element[]} cells of the bar that is shown large */
    this.here = [];
    /** @type {Map<Element, string>} cells that are lit */
    this.lit = new Map();
    this.bar = -1;
    this.then = -1;
    /** @type {Element | null} */
    this.playing = null;
    /** Beats a minute of the section that is shown, as written. */
    this.written = 0;
    this.percent = 100;
    /** How wide the room for bars is, in em of the cells. */
    this.room = Infinity;
    /** @type {Step | null} the count-in that is shown */
    this.counting = null;
    /** Of which strokes it is said that they are struck now and next. */
    this.saidOf = '';
    const most = (/** @type {string} */ side) => Math.max(0, ...this.bars.map((bar) => parseFloat(bar.querySelector('svg')?.getAttribute(side) ?? '0')));
    /** Width and height of the largest bar, in em of the cells. */
    this.largest = { width: most('width'), height: most('height') };
    /** Two strokes after each other whose names are long, for the size of the letters in which they are said. */
    this.longest = ['', ''];
    data.score.onsets.forEach((onsets, row) => onsets.forEach((_, o) => {
      const pair = [this.named([{ row, o }]), o + 1 < onsets.length ? this.named([{ row, o: o + 1 }]) : ''];
      if (pair.join('').length > this.longest.join('').length) this.longest = pair;
    }));
    // Of several parts at once, all may be struck together.
    if (data.rows.length > 1) this.longest = [data.rows.join(', '), data.rows.join(', ')];
  }

  /** Makes what is struck now and next as large as it fits on one line. */
  lettered() {
    const big = byId('big');
    const was = ['now-note', 'next-note'].map((id) => byId(id).textContent || '');
    big.style.fontSize = '';
    say('now-note', this.longest[0]);
    say('next-note', `${this.longest[1]} ×9`);
    const wide = [...big.children].reduce((sum, part) => sum + part.getBoundingClientRect().width, 0);
    const usual = parseFloat(getComputedStyle(big).fontSize);
    const fits = (0.92 * usual * big.clientWidth) / wide;
    if (fits < usual) big.style.fontSize = `${Math.max(fits, LEAST_SAID)}px`;
    say('now-note', was[0]);
    say('next-note', was[1]);
  }

  /** Makes the cells so large that two bars have room beside each other, if they can be read then. */
  fitted() {
    const { width, height } = this.largest;
    const cells = byId('cells');
    const root = parseFloat(getComputedStyle(document.documentElement).fontSize);
    this.lettered();
    if (!width) return;
    const one = Math.floor((10 * cells.clientWidth) / width) / 10;
    const size = Math.min(one / 2 >= root * CELLS.least ? one / 2 : one, root * CELLS.most);
    this.room = cells.clientWidth / size;
    cells.style.fontSize = `${size}px`;
    document.documentElement.style.setProperty('--bar-size', `${size}px`);
    byId('words').style.fontSize = `${Math.min(0.9 * size, root)}px`;
    cells.style.height = `${Math.ceil(height * size)}px`;
  }

  /**
   * Says how fast it is played, in percent and in the beats a minute of the section that is shown.
   *
   * @param {number} percent
   */
  tempo(percent) {
    this.percent = percent;
    const beats = Math.round((this.written * percent) / 100);
    say('percent', `${Math.round(percent)} %`);
    say('beats', `${beats}/min`);
  }

  /**
   * Shows a moment.
   *
   * @param {Step} step
   * @param {number} t score time
   * @param {Step | null} after the step that follows
   * @param {number} scale seconds that a microsecond takes
   */
  show(step, t, after, scale) {
    const { score } = this.data;
    if (step.heard === 'count') {
      this.count(step, t);
      return;
    }
    // After a count-in the bar is said, though it is the one that was shown already.
    if (this.counting) this.bar = -1;
    this.counting = null;
    const b = this.barAt(step, t);
    this.place(step, b, after);
    const moment = this.lights.at(step, t, after, scale);
    this.face.show(moment.lit);
    this.strokes(moment, b, t);
    /** @type {Map<Element, string>} */
    const lit = new Map();
    score.onsets.forEach((onsets, row) => {
      const onset = onsets[lastBy(onsets, ({ at }) => at, t)];
      this.cell(lit, row, b, t, !!onset && onset.rolled === true && t < onset.at + onset.length);
    });
    this.change(lit);
  }

  /** The bar of a moment. @param {Step} step @param {number} t */
  barAt(step, t) {
    return Math.min(Math.max(lastBy(this.data.score.bars, (bar) => bar.at, t), step.first), step.last - 1);
  }

  /**
   * @param {Step} step
   * @param {number} t
   */
  count(step, t) {
    const { score } = this.data;
    if (this.counting !== step) this.ready(step.first, step);
    this.counting = step;
    const { at } = score.clicks[score.bars[step.first].count];
    const beats = at.filter(([click]) => click <= t - step.from).length;
    say('now-note', `${beats || 1}`);
    this.saidOf = '';
    say('where', `count-in: ${beats || 1} of ${at.length}`);
  }

  /**
   * Shows what comes, where nothing sounds yet: the first stroke from a bar on, or from a time in it.
   *
   * @param {number} b
   * @param {{last: number}} step
   * @param {number} [at]
   */
  ready(b, step, at = this.data.score.bars[b].at) {
    this.bar = -1;
    this.place(step, b, null);
    const moment = this.lights.ready(at);
    this.face.show(moment.lit);
    this.strokes(moment, b, at);
    say('now-note', 'ready');
    this.saidOf = '';
    this.change(new Map());
  }

  /**
   * Shows a place where it was paused: what comes next from there.
   *
   * @param {Step} step
   * @param {number} t
   */
  paused(step, t) {
    if (step.heard === 'count') this.ready(step.first, step);
    else this.ready(this.barAt(step, t), step, t);
    say('now-note', 'paused');
    this.counting = null;
  }

  /**
   * Says what is struck now and next.
   *
   * @param {Moment} moment
   * @param {number} b the bar that plays
   * @param {number} t
   */
  strokes({ now, next, wait }, b, t) {
    const key = [now, next].map((places) => places.map(({ row, o }) => `${row} ${o}`).join()).join('/') + `/${b}`;
    if (key === this.saidOf) return;
    this.saidOf = key;
    say('now-note', now.length ? this.named(now) : 'rest');
    byId('now-note').classList.toggle('rests', !now.length);
    const [first] = next;
    const light = first && this.face.lit.get(`${first.row} ${this.data.score.onsets[first.row][first.o].struck[0]}`);
    const times = light ? this.face.times(light) : '';
    say('next-note', next.length ? `${this.named(next)} ${times}`.trim() : 'the end');
    const bars = first && wait < Infinity ? lastBy(this.data.score.bars, (bar) => bar.at, t + wait) - b : 0;
    say('wait', bars >= LONG_REST ? `in ${bars} bars` : '');
  }

  /** What is struck, in a word: of several parts, the part, and the stroke where it is not the plain one. @param {number} row @param {string} name */
  called(row, name) {
    const stroke = this.face.called(`${row} ${name}`);
    if (this.data.score.onsets.length === 1) return stroke;
    return name === 'x' ? this.data.rows[row] : `${this.data.rows[row]} ${stroke}`;
  }

  /** Names of strokes with their sticks: `D5 R`. @param {Place[]} places */
  named(places) {
    const names = places.map(({ row, o }) => {
      const onset = this.data.score.onsets[row][o];
      const notes = onset.struck.map((name) => this.called(row, name));
      const sticks = (onset.sticks || []).join('');
      return `${notes.join('+')}${sticks ? ` ${sticks}` : ''}${onset.rolled ? ' roll' : ''}`;
    });
    return names.join(', ');
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
    this.cells[shown] = this.cells[shown] || [...this.bars[shown].querySelectorAll('.cell')];
    for (const cells of [this.cells[shown], this.here]) {
      const cell = cells[row * starts.length + column];
      if (cell) lit.set(cell, state);
    }
  }

  /** @param {Map<Element, string>} lit */
  change(lit) {
    for (const element of this.lit.keys()) if (!lit.has(element)) element.classList.remove(...STATES);
    lit.forEach((state, element) => {
      if (this.lit.get(element) === state) return;
      element.classList.remove(...STATES);
      element.classList.add(state);
      // A cell in which nothing is struck or held is lit too, but otherwise: there the player waits.
      element.classList.toggle('rest', !element.querySelector('.struck, .lasting'));
    });
    this.lit = lit;
  }

  /**
   * Shows which bar it is, once it changes.
   *
   * @param {{last: number}} step
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
    const section = score.sections[lastBy(score.sections, ({ first }) => first, b)];
    this.written = section?.tempo ?? 0;
    this.tempo(this.percent);
    say('where', this.where(b));
    const words = score.words[lastBy(score.words, ([at]) => at, at)];
    say('words', words && words[0] >= at ? words[1] : '');
    this.playing?.classList.remove('playing');
    this.playing = shown[b] < 0 ? null : this.bars[shown[b]];
    this.playing?.classList.add('playing');
    this.large(shown[b], then < 0 ? -1 : shown[then]);
  }

  /** Where a bar is, in the tune and in its section. @param {number} b */
  where(b) {
    const { bars, pickup } = this.data.score;
    return `bar ${numbered(b, pickup)} of ${numbered(bars.length - 1, pickup)}: ${this.inSection(b)}`;
  }

  /** A bar as messages name it: `bar 3 of verse`. @param {number} b */
  inSection(b) {
    const { bars, sections, pickup } = this.data.score;
    const section = sections[lastBy(sections, ({ first }) => first, b)];
    const opens = pickup && bars[b].section === bars[0].section;
    return `bar ${numbered(bars[b].bar, opens)} of ${section?.name ?? ''}`;
  }

  /**
   * Shows a bar large, and the one after it.
   *
   * @param {number} now
   * @param {number} then
   */
  large(now, then) {
    const cells = byId('cells');
    while (cells.firstChild) cells.firstChild.remove();
    let taken = 0;
    [now, then].forEach((bar, i) => {
      const picture = bar < 0 ? null : this.bars[bar].querySelector('svg');
      if (!picture) return;
      const width = parseFloat(picture.getAttribute('width') ?? '0');
      // The bar to come is shown where all of it has room.
      if (i > 0 && taken + width > this.room + 0.01) return;
      taken += width;
      const copy = /** @type {Element} */ (picture.cloneNode(true));
      for (const cell of copy.querySelectorAll('.cell')) cell.classList.remove(...STATES);
      copy.classList.add(i === 0 ? 'first' : 'second');
      cells.appendChild(copy);
    });
    this.here = now < 0 ? [] : [...cells.querySelectorAll('.first .cell')];
    if (now < 0) cells.appendChild(document.createElement('p')).textContent = 'You rest here.';
  }

  /** Which notes are struck in some bars, as the drawing names them. @param {number} first @param {number} last */
  struckIn(first, last) {
    const { bars, onsets } = this.data.score;
    const [from, to] = [bars[first].at, bars[last - 1].end];
    const names = onsets.flatMap((row, r) => row.filter(({ at }) => at >= from && at < to).flatMap(({ struck }) => struck.map((name) => `${r} ${name}`)));
    return new Set(names);
  }
}
