// The player's fingers on the drawn pan: what they tap is sounded, and shown beside the tune if the player wants that.

/** @import {Face} from './face.js' */
import { nameOf } from './face.js';
import { ROLL } from './taps.js';

/** How long it is shown how a tap fits, in milliseconds. */
const SHOWN = 700;

/**
 * @typedef {object} Works
 * @property {(name: string) => void} hear sounds a note
 * @property {(name: string) => string | null} fit how a tap fits what plays, if that is wanted
 * @property {(text: string) => void} say
 */

export class Hands {
  /**
   * @param {HTMLElement} frame
   * @param {Face} face
   * @param {Works} works
   */
  constructor(frame, face, works) {
    this.face = face;
    this.works = works;
    this.timer = 0;
    this.hidden = 0;
    const svg = frame.querySelector('svg');
    if (!svg) return;
    svg.setAttribute('role', 'group');
    // What is written on the notes would be read beside their labels.
    for (const text of svg.querySelectorAll('text')) text.setAttribute('aria-hidden', 'true');
    const notes = [...frame.querySelectorAll('.note')].map((note, i) => {
      // Without letters in it, so that it is called by its label alone.
      const touch = /** @type {SVGElement} */ (note.querySelector('.area')?.cloneNode());
      touch.setAttribute('class', 'touch');
      touch.setAttribute('role', 'button');
      touch.setAttribute('aria-label', note.querySelector('title')?.textContent ?? '');
      touch.setAttribute('tabindex', i === 0 ? '0' : '-1');
      note.appendChild(touch);
      return touch;
    });
    const noteOf = (/** @type {Event} */ event) => /** @type {SVGGElement | null} */ (/** @type {Element} */ (event.target).closest('.note'));
    frame.addEventListener('pointerdown', (event) => {
      const note = noteOf(event);
      if (note && !event.button) this.press(note);
    });
    for (const end of ['pointerup', 'pointercancel', 'pointerleave']) frame.addEventListener(end, () => this.lift());
    frame.addEventListener('contextmenu', (event) => event.preventDefault());
    frame.addEventListener('keydown', (event) => {
      const note = noteOf(event);
      const at = notes.indexOf(/** @type {SVGElement} */ (event.target));
      if (!note || at < 0) return;
      const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (step) {
        const next = notes[(at + step + notes.length) % notes.length];
        notes[at].setAttribute('tabindex', '-1');
        next.setAttribute('tabindex', '0');
        next.focus();
      } else if (event.key === 'Enter' || event.key === ' ') {
        if (!event.repeat) this.press(note);
      } else {
        return;
      }
      event.preventDefault();
      event.stopPropagation();
    });
    frame.addEventListener('keyup', () => this.lift());
    frame.addEventListener('focusout', () => this.lift());
  }

  /** @param {SVGGElement} note */
  press(note) {
    this.lift();
    const name = nameOf(note);
    this.works.hear(name);
    this.show(note, this.works.fit(name));
    const again = () => {
      this.works.hear(name);
      this.timer = window.setTimeout(again, ROLL.every);
    };
    this.timer = window.setTimeout(again, ROLL.after);
  }

  lift() {
    window.clearTimeout(this.timer);
  }

  /**
   * Shows how a tap fits, at the note.
   *
   * @param {Element | null} note
   * @param {string | null} fits
   */
  show(note, fits) {
    window.clearTimeout(this.hidden);
    for (const old of document.querySelectorAll('#face .note[data-fits]')) old.removeAttribute('data-fits');
    this.works.say(fits ?? '');
    if (!fits) return;
    note?.setAttribute('data-fits', fits);
    this.hidden = window.setTimeout(() => this.show(null, null), SHOWN);
  }
}
