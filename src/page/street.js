// The tune as a street: its sections as blocks with where it plays, and its bars by number for choosing which are repeated.

/** @import {Data} from './data.js' */
import { named, numbered } from './plan.js';
import { byId, lastBy, say } from './view.js';

export class Street {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.blocks = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('button[data-form]')]);
    this.marks = this.blocks.map((block) => {
      const mark = document.createElement('i');
      block.appendChild(mark);
      return mark;
    });
    data.score.sections.forEach(({ first, last }, i) => {
      this.blocks[i].style.flexGrow = String(last - first);
    });
    /** @type {HTMLElement[]} the bars by number, once they are asked for */
    this.numbers = [];
    this.bar = -1;
    this.block = -1;
  }

  /** Puts the bars by number there: a button each, under the names of their sections. */
  build() {
    if (this.numbers.length) return;
    const { sections, pickup } = this.data.score;
    const into = byId('numbers');
    for (const { name, first, last } of sections) {
      const group = document.createElement('div');
      const head = document.createElement('p');
      head.textContent = name;
      const row = document.createElement('div');
      group.className = 'of-section';
      for (let b = first; b < last; b++) {
        const button = document.createElement('button');
        button.type = 'button';
        button.dataset.bar = String(b);
        button.textContent = String(numbered(b, pickup));
        button.setAttribute('aria-label', `bar ${numbered(b, pickup)}`);
        row.appendChild(button);
        this.numbers[b] = button;
      }
      group.appendChild(head);
      group.appendChild(row);
      into.appendChild(group);
    }
    const all = document.createElement('button');
    all.type = 'button';
    all.id = 'whole';
    all.textContent = 'All bars';
    into.insertBefore(all, into.firstChild);
  }

  /**
   * Shows which bars are chosen.
   *
   * @param {number} first
   * @param {number} last
   * @param {{asking: boolean, open: boolean}} how whether bars are being chosen, and whether only the first is
   */
  show(first, last, { asking, open }) {
    const { score } = this.data;
    const whole = first === 0 && last === score.bars.length;
    const words = named(first, last, score.pickup);
    say('stretch', whole ? 'All bars' : words[0].toUpperCase() + words.slice(1));
    byId('choose').setAttribute('aria-expanded', String(asking));
    byId('bars').hidden = !asking;
    if (asking) {
      this.build();
      say('asked', open ? `From bar ${numbered(first, score.pickup)}. Now tap the last bar or section.` : 'Tap the first bar or section, then the last.');
    }
    this.blocks.forEach((block, i) => {
      const section = score.sections[i];
      const inside = !whole && section.first < last && section.last > first;
      block.classList.toggle('chosen', inside);
      block.classList.toggle('out', !whole && !inside);
    });
    this.numbers.forEach((button, b) => button.setAttribute('aria-pressed', String(!whole && b >= first && b < last)));
  }

  /** Brings the bar that plays into view among the bars by number. */
  reach() {
    const button = this.numbers[Math.max(this.bar, 0)];
    const into = byId('numbers');
    if (button) into.scrollLeft += button.getBoundingClientRect().left - into.getBoundingClientRect().left - into.clientWidth / 3;
  }

  /** Shows where it is. @param {number} b the bar that plays; -1: none */
  at(b) {
    if (b === this.bar) return;
    this.numbers[this.bar]?.classList.remove('here');
    this.numbers[b]?.classList.add('here');
    this.bar = b;
    const { sections } = this.data.score;
    const block = b < 0 ? -1 : lastBy(sections, ({ first }) => first, b);
    if (block !== this.block) {
      this.blocks[this.block]?.removeAttribute('aria-current');
      this.blocks[block]?.setAttribute('aria-current', 'true');
      this.block = block;
      const street = byId('street');
      const box = this.blocks[block]?.getBoundingClientRect();
      const frame = street.getBoundingClientRect();
      if (box && (box.left < frame.left || box.right > frame.right)) street.scrollLeft += box.left - frame.left - 8;
    }
    const here = sections[block];
    if (here) this.marks[block].style.transform = `translateX(${(100 * (b - here.first)) / (here.last - here.first)}%) scaleX(${1 / (here.last - here.first)})`;
  }
}
