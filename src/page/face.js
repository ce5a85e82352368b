// The drawn pan: its notes by name, what is lit on them, and how large it is.

/** @import {Light} from './lights.js' */
/** @import {Box} from './faces.js' */
import { largest } from './faces.js';
import { MOST_AGAIN } from './lights.js';

const SVG = 'http://www.w3.org/2000/svg';

/** The least letters on the pan, in pixels at the usual letters of a browser: a note's name, the letter of a stick. */
const LEAST = { name: 12, stick: 12 };

/** The radius of the disc under the letter of a stick, in such pixels. */
const RADIUS = 9.5;

/** Up to how many times the usual letters of a browser the letters on the pan grow with them: beyond, names would cover each other. */
const GROWS = 1.25;

/** Room round the drums, and round the notes of some bars, in millimetres of the pan. */
const ROOM = { drums: 6, notes: 24 };

/**
 * A note of the drawing.
 *
 * @typedef {object} Drawn
 * @property {SVGGElement} note
 * @property {SVGGElement} hand where the stick's letter stands
 * @property {SVGTextElement} stick
 * @property {SVGTextElement} left
 * @property {SVGTextElement | null} name
 * @property {number} size of the name, as drawn
 * @property {number} base of the name: its middle
 * @property {Box} box of its area
 * @property {Record<string, [number, number]>} at where the letter of each stick stands, once it was needed
 * @property {string} shown what is lit on it
 */

/**
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, string>} attributes
 * @param {Element} into
 */
function add(name, attributes, into) {
  const element = document.createElementNS(SVG, name);
  for (const key of Object.keys(attributes)) element.setAttribute(key, attributes[key]);
  into.appendChild(element);
  return element;
}

/** @param {Element} element @returns {Box} */
function boxOf(element) {
  return /** @type {Box} */ (String(/** @type {HTMLElement} */ (element).dataset.box).split(' ').map(Number));
}

export class Face {
  /** @param {HTMLElement} frame */
  constructor(frame) {
    this.frame = frame;
    this.svg = frame.querySelector('svg');
    /** @type {Map<string, Drawn[]>} by the number of their row and what is struck */
    this.notes = new Map();
    /** @type {Drawn[]} */
    this.all = [...frame.querySelectorAll('.note')].map((note) => this.drawn(/** @type {SVGGElement} */ (note)));
    this.barrels = [...frame.querySelectorAll('.barrel')].map((group) => ({
      group: /** @type {SVGGElement} */ (group),
      box: boxOf(group),
      keys: [...group.querySelectorAll('.note')].map((note) => nameOf(note)),
    }));
    this.beneath = /** @type {SVGGElement | null} */ (frame.querySelector('.beneath'));
    this.round = frame.querySelector('rect.drum') === null;
    /** @type {Set<string> | null} the notes that are shown alone */
    this.only = null;
    /** @type {Map<string, Light>} */
    this.lit = new Map();
    /** How many units of the drawing a pixel is, with the letters that the browser is set to. */
    this.unit = 1;
  }

  /** @param {SVGGElement} note @returns {Drawn} */
  drawn(note) {
    const area = /** @type {SVGGraphicsElement} */ (note.querySelector('.area'));
    const { x, y, width, height } = area.getBBox();
    const turn = /rotate\(([-\d.]+)/.exec(area.getAttribute('transform') || '');
    const angle = turn ? (Number(turn[1]) * Math.PI) / 180 : 0;
    const [w, h] = [Math.hypot(width * Math.cos(angle), height * Math.sin(angle)), Math.hypot(width * Math.sin(angle), height * Math.cos(angle))];
    /** @type {Box} */
    const box = [x + width / 2 - w / 2, y + height / 2 - h / 2, w, h];
    const ring = /** @type {Element} */ (area.cloneNode());
    ring.setAttribute('class', 'ring');
    note.insertBefore(ring, area);
    for (const old of note.querySelectorAll('.stick')) old.remove();
    const hand = add('g', { class: 'hand' }, note);
    add('circle', { r: String(RADIUS) }, hand);
    const stick = add('text', { class: 'stick', y: '4.4', 'text-anchor': 'middle', 'font-size': String(LEAST.stick) }, hand);
    const left = add('text', { class: 'left', 'text-anchor': 'middle', 'font-size': '13' }, note);
    const name = /** @type {SVGTextElement | null} */ (note.querySelector('.name'));
    const size = Number(name?.getAttribute('font-size') ?? 0);
    const base = Number(name?.getAttribute('y') ?? 0) - 0.36 * size;
    /** @type {Drawn} */
    const drawn = { note, hand, stick, left, name, size, base, box, at: {}, shown: '' };
    const key = nameOf(note);
    this.notes.set(key, [...(this.notes.get(key) || []), drawn]);
    return drawn;
  }

  /** What a note is called: with the stroke's meaning for percussion. @param {string} key */
  called(key) {
    const [drawn] = this.notes.get(key) || [];
    if (!drawn) return key.slice(key.indexOf(' ') + 1);
    return (drawn.note.querySelector('.caption') || drawn.name || drawn.note).textContent || '';
  }

  /**
   * Lays the drums out in their frame.
   *
   * @param {Set<string> | null} only the notes whose drums are shown, or all
   */
  arrange(only = this.only) {
    this.only = only;
    const { svg, frame, barrels } = this;
    const { clientWidth: width, clientHeight: height } = frame;
    if (!svg || !width || !height) return;
    if (!barrels.length) {
      this.letters(Math.max(svg.viewBox.baseVal.width / width, svg.viewBox.baseVal.height / height));
      return;
    }
    const needed = barrels.filter(({ keys }) => !only || keys.some((key) => only.has(key)));
    const shown = needed.length ? needed : barrels;
    for (const { group } of barrels) group.classList.toggle('away', shown.every((other) => other.group !== group));
    const under = this.under(only);
    const below = under ? under[3] + 4 * ROOM.drums : 0;
    const laid = largest(shown.map(({ box }) => box), this.round, width, height, below);
    shown.forEach(({ group, box }, i) => group.setAttribute('transform', `translate(${laid.at[i][0] - box[0]} ${laid.at[i][1] - box[1]})`));
    if (under && this.beneath) {
      const scale = Math.min(1, laid.width / under[2]);
      const x = (laid.width - scale * under[2]) / 2 - scale * under[0];
      this.beneath.setAttribute('transform', `translate(${x} ${laid.height + 2 * ROOM.drums - scale * under[1]}) scale(${scale})`);
    }
    /** @type {Box} */
    let view = [-ROOM.drums, -ROOM.drums, laid.width + 2 * ROOM.drums, laid.height + below + 2 * ROOM.drums];
    if (only && shown.length === 1 && !under) view = this.around(only, shown[0].box, view, width / height);
    svg.setAttribute('viewBox', view.join(' '));
    this.letters(Math.max(view[2] / width, view[3] / height));
  }

  /** The box of what lies under the drums, if any of it is shown. @param {Set<string> | null} only @returns {Box | null} */
  under(only) {
    if (!this.beneath) return null;
    const notes = [...this.beneath.querySelectorAll('.note')].map((note) => nameOf(note));
    const away = only !== null && !notes.some((note) => only.has(note));
    this.beneath.classList.toggle('away', away);
    if (away) return null;
    const { x, y, width, height } = this.beneath.getBBox();
    return [x, y, width, height];
  }

  /**
   * The part of a drum in which its notes of some bars lie.
   *
   * @param {Set<string>} only
   * @param {Box} drum
   * @param {Box} whole
   * @param {number} shape width by height of the frame
   * @returns {Box}
   */
  around(only, drum, whole, shape) {
    const boxes = [...only].flatMap((key) => (this.notes.get(key) || []).map(({ box }) => box));
    if (!boxes.length) return whole;
    const left = Math.min(...boxes.map(([x]) => x)) - ROOM.notes - drum[0];
    const top = Math.min(...boxes.map(([, y]) => y)) - ROOM.notes - drum[1];
    const right = Math.max(...boxes.map(([x, , w]) => x + w)) + ROOM.notes - drum[0];
    const bottom = Math.max(...boxes.map(([, y, , h]) => y + h)) + ROOM.notes - drum[1];
    const wide = Math.max(right - left, (bottom - top) * shape);
    const [x, y] = [(left + right - wide) / 2, (top + bottom - wide / shape) / 2];
    return wide < whole[2] ? [x, y, wide, wide / shape] : whole;
  }

  /** Makes letters large enough to read. @param {number} unit how many units of the drawing a pixel is */
  letters(unit) {
    const root = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
    const grown = unit * Math.min(Math.max(root, 1), GROWS);
    // On a large screen the sticks' letters are larger too.
    this.unit = grown * Math.min(Math.max(Math.min(this.frame.clientWidth, this.frame.clientHeight) / 400, 1), 1.75);
    for (const drawn of this.all) {
      drawn.at = {};
      const { name, size, base, left, box } = drawn;
      if (name) {
        const now = Math.max(size, LEAST.name * grown);
        name.style.fontSize = `${now}px`;
        // Beside a name that is larger than its place there is no room for an arrow and cents.
        drawn.note.classList.toggle('tight', now > size * 1.02);
        name.setAttribute('y', String(base + 0.36 * now));
      }
      const [x, y] = [box[0] + box[2] / 2, box[1] + box[3] / 2];
      left.setAttribute('transform', `translate(${x} ${y - box[3] / 2 - 3 * this.unit}) scale(${this.unit})`);
    }
    for (const drawn of this.all) if (drawn.shown) this.hand(drawn);
  }

  /**
   * Where the letter of a stick covers least of other names: below the note, beside it or above, at the side from which it comes.
   *
   * @param {Drawn} drawn
   * @param {number} side -1 left, 1 right
   * @param {number} unit
   * @returns {[number, number]}
   */
  beside({ box, note }, side, unit) {
    const [x, y, w, h] = [box[0] + box[2] / 2, box[1] + box[3] / 2, box[2] / 2, box[3] / 2];
    const others = this.all.filter((other) => other.note !== note && other.note.parentNode === note.parentNode && other.name);
    const covered = (/** @type {[number, number]} */ [a, b]) => {
      const over = others.map(({ name, box, base }) => {
        const size = parseFloat(/** @type {SVGTextElement} */ (name).style.fontSize);
        const half = 0.36 * size * (/** @type {SVGTextElement} */ (name).textContent || '').length;
        const [wide, high] = [half + RADIUS * unit - Math.abs(a - box[0] - box[2] / 2), 0.4 * size + RADIUS * unit - Math.abs(b - base)];
        return wide > 0 && high > 0 ? wide * high : 0;
      });
      return over.reduce((sum, one) => sum + one, 0);
    };
    const far = 5 * unit;
    /** @type {[number, number][]} */
    const places = [[0.62, 1], [0.9, 0.62], [1, 0], [0.9, -0.62], [0.62, -1]].map(([right, down]) => [x + side * (right * w + far * right), y + down * (h + far)]);
    return places.reduce((best, place) => (covered(place) < covered(best) - 1 ? place : best));
  }

  /** Puts the letter of the stick at the side from which it comes. @param {Drawn} drawn */
  hand(drawn) {
    const { hand, stick, at } = drawn;
    const side = stick.textContent === 'L' ? 'L' : 'R';
    at[side] = at[side] || this.beside(drawn, side === 'L' ? -1 : 1, this.unit);
    const [x, y] = at[side];
    hand.setAttribute('transform', `translate(${x} ${y}) scale(${this.unit})`);
  }

  /** How often the same is struck again, where that can be counted: `×3`. @param {Light} light */
  times({ again, left }) {
    return again && left > 1 && left < MOST_AGAIN ? `×${left}` : '';
  }

  /** Lights notes. @param {Map<string, Light>} lit */
  show(lit) {
    for (const key of this.lit.keys()) if (!lit.has(key)) this.light(key, null);
    lit.forEach((light, key) => this.light(key, light));
    this.lit = lit;
  }

  /** @param {string} key @param {Light | null} light */
  light(key, light) {
    const shown = light ? `${light.state}${light.next}${light.again}${light.left}${light.stick}${light.turn}` : '';
    for (const drawn of this.notes.get(key) || []) {
      if (drawn.shown === shown) continue;
      drawn.shown = shown;
      const { note, stick, left } = drawn;
      // A lit note lies over its neighbours, so that none of them covers its letters.
      if (light && note.nextElementSibling && !note.contains(document.activeElement)) /** @type {Element} */ (note.parentNode).appendChild(note);
      const is = { now: light?.state === 'now', held: light?.state === 'held', next: !!light?.next, again: !!light?.again };
      for (const [name, on] of Object.entries(is)) if (note.classList.contains(name) !== on) note.classList.toggle(name, on);
      note.dataset.turn = String((light?.turn ?? 0) % 2);
      stick.textContent = light?.stick ?? '';
      left.textContent = light ? this.times(light) : '';
      note.classList.toggle('handed', stick.textContent !== '');
      this.hand(drawn);
    }
  }
}

/** The number of a note's row and what is struck, as the score names it. @param {Element} note */
export function nameOf(note) {
  const { key, mark, row } = /** @type {HTMLElement} */ (note).dataset;
  return `${row ?? 0} ${key ?? mark ?? ''}`;
}
