// The page put together: what the player does, what plays, and what is shown of it.

/** @import {Data, Step} from './data.js' */
/** @import {Choice} from './choice.js' */
import { keep, LATEST, recall, tap, TEMPOS } from './choice.js';
import { Hands } from './hands.js';
import { Log } from './log.js';
import { named, plan } from './plan.js';
import { Player } from './player.js';
import { Street } from './street.js';
import { fit, nearest, sounds } from './taps.js';
import { byId, say, View } from './view.js';

/** How far ahead of the sound notes are lit, in seconds: half the time that a screen shows a picture. */
const HALF_A_PICTURE = 0.008;

/** How much of the screen the dock may take, as a share of its height, before it lies in the page instead of over it. */
const MOST_DOCK = 0.55;

/** Words of the buttons. */
const WORDS = { play: 'Play', pause: 'Pause', on: 'Go on' };

class Page {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.choice = recall(data);
    /** Whether bars are being chosen, and whether only the first is. */
    this.asking = false;
    this.open = false;
    this.view = new View(data);
    this.street = new Street(data);
    this.log = new Log(data);
    this.known = sounds(data);
    this.player = new Player(data, {
      steps: (from) => this.steps(from),
      how: () => ({ counted: this.choice.counted, tempo: this.choice.tempo, way: this.way() }),
      changed: () => this.changed(),
      trouble: (text) => this.trouble(text),
    });
    this.hands = new Hands(byId('face'), this.view.face, {
      hear: (name) => this.hear(name),
      fit: (name) => this.fit((struck, row) => `${row} ${struck}` === name),
      say: (text) => say('hit', text),
    });
    /** @type {Step | null} */
    this.told = null;
    this.frames = 0;
    this.controls();
    this.fitted();
    this.show();
    this.changed();
  }

  controls() {
    const on = (/** @type {string} */ id, /** @type {() => void} */ act) => byId(id).addEventListener('click', act);
    on('play', () => this.toggle());
    on('slower', () => this.tempo(this.choice.tempo - 5));
    on('faster', () => this.tempo(this.choice.tempo + 5));
    on('again', () => this.drill(this.choice.drill === 'once' ? this.choice.loops : 'once'));
    on('counted', () => this.choose({ counted: !this.choice.counted }));
    on('zoom', () => this.choose({ large: !this.choice.large }));
    on('choose', () => this.ask(!this.asking));
    on('over', () => this.player.go(null));
    on('further', () => this.further());
    on('signs', () => this.signs());
    on('forget', () => {
      this.log.forget();
      this.done();
    });
    document.addEventListener('input', (event) => this.slid(/** @type {HTMLInputElement} */ (event.target)));
    document.addEventListener('change', (event) => this.picked(/** @type {HTMLInputElement} */ (event.target)));
    document.addEventListener('click', (event) => this.tapped(event));
    document.addEventListener('keydown', (event) => this.key(event));
    window.addEventListener('resize', () => this.fitted());
    if ('ResizeObserver' in window) {
      const seen = new ResizeObserver(() => this.fitted());
      for (const id of ['face', 'dock']) seen.observe(byId(id));
    }
  }

  /** Fits the drawing into its frame, and the page round the dock. */
  fitted() {
    this.view.fitted();
    const root = document.documentElement;
    const high = byId('dock').offsetHeight;
    root.classList.toggle('loose', high > MOST_DOCK * window.innerHeight);
    root.style.setProperty('--dock', `${high}px`);
    this.view.face.arrange();
  }

  /** @param {HTMLInputElement} input */
  slid(input) {
    if (input.id === 'tempo') this.tempo(Number(input.value));
    if (input.id === 'late') this.choose({ late: Math.min(Number(input.value), LATEST) });
  }

  /** @param {HTMLInputElement} input */
  picked(input) {
    if (input.name === 'way') {
      this.choose({ way: input.value });
      this.player.sound?.hear(this.way());
    }
    if (input.name === 'drill') this.drill(input.value);
    if (input.id === 'each') this.choose({ each: input.checked });
    if (input.id === 'rises') this.choose({ rises: input.checked });
    if (input.id === 'along') this.choose({ along: input.checked });
  }

  /** @param {string} drill */
  drill(drill) {
    this.choose(drill === 'once' ? { drill } : { drill, loops: drill });
    this.player.go(null);
  }

  /** @param {MouseEvent} event */
  tapped(event) {
    const button = /** @type {Element} */ (event.target).closest('button');
    if (!button) return;
    // After a tap the space bar is free to play and pause; whoever uses the keyboard keeps the place.
    if (event.detail > 0) button.blur();
    if (button.id === 'whole') {
      this.stretch({ first: 0, last: this.data.score.bars.length, open: false });
      return;
    }
    const bars = this.meant(button.dataset);
    if (!bars) return;
    if (this.asking) this.stretch(tap({ ...this.choice, open: this.open }, bars));
    else this.from(bars.first);
  }

  /**
   * The bars that a button stands for.
   *
   * @param {DOMStringMap} button
   * @returns {{first: number, last: number} | undefined}
   */
  meant({ form, shown, rows, bar }) {
    const { bars, sections } = this.data.score;
    if (bar !== undefined) return { first: Number(bar), last: Number(bar) + 1 };
    if (form !== undefined) return { first: sections[Number(form)].first, last: sections[Number(form)].last };
    if (rows !== undefined) return this.nearest(sections.filter((section) => section.section === Number(rows)));
    if (shown === undefined) return undefined;
    return this.nearest(bars.flatMap((_, b) => (this.data.shown[b] === Number(shown) ? [{ first: b, last: b + 1 }] : [])));
  }

  /**
   * Of several playings of the same bars, the one that is meant: the first from the chosen bars on.
   *
   * @param {{first: number, last: number}[]} playings
   */
  nearest(playings) {
    return playings.find((playing) => playing.first >= this.choice.first) ?? playings[0];
  }

  /** Opens or closes the choice of bars. @param {boolean} asking */
  ask(asking) {
    this.asking = asking;
    this.open = false;
    this.show();
    if (asking) this.street.reach();
    say('said', asking ? 'Tap the first bar or section, then the last.' : '');
  }

  /** @param {{first: number, last: number, open: boolean}} stretch */
  stretch({ first, last, open }) {
    this.open = open;
    // Both taps are done: the bars are chosen.
    if (!open) this.asking = false;
    this.choose({ first, last });
    this.player.go(null);
    if (!open) say('said', byId('stretch').textContent || '');
  }

  /** Plays from a bar on. @param {number} b */
  from(b) {
    const { first, last } = this.choice;
    if (b < first || b >= last) this.choose({ first: 0, last: this.data.score.bars.length });
    this.player.go(b);
    void this.player.play();
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
    this.player.tempo(tempo);
  }

  way() {
    return this.data.ways.find((way) => way.name === this.choice.way) ?? this.data.ways[0];
  }

  /** What is practised, from a bar on. @param {number | null} from */
  steps(from) {
    const { drill, first, last, counted, each, rises, tempo } = this.choice;
    const until = tempo < 100 ? 100 : TEMPOS.most;
    return plan(this.data, drill, first, last, counted, { from: from ?? first, each, rises: rises ? (100 * until) / tempo : 0 });
  }

  /** Shows what is chosen. */
  show() {
    const { tempo, way, drill, loops, counted, each, rises, along, late, first, last, large } = this.choice;
    /** @type {HTMLInputElement} */ (byId('tempo')).value = String(tempo);
    /** @type {HTMLInputElement} */ (byId('late')).value = String(late);
    say('late-said', `${late} ms`);
    this.view.tempo(tempo);
    for (const input of document.querySelectorAll('input')) {
      if (input.name === 'way') input.checked = input.value === way;
      if (input.name === 'drill') input.checked = input.value === drill;
    }
    for (const [id, on] of Object.entries({ each, rises, along })) /** @type {HTMLInputElement} */ (byId(id)).checked = on;
    byId('tempo').setAttribute('aria-valuetext', `${tempo} percent`);
    const shown = drill === 'once' ? loops : drill;
    say('again', shown[0].toUpperCase() + shown.slice(1));
    byId('again').setAttribute('aria-pressed', String(drill !== 'once'));
    byId('counted').setAttribute('aria-pressed', String(counted));
    byId('zoom').setAttribute('aria-pressed', String(large));
    byId('zoom').hidden = this.view.face.barrels.length === 0;
    this.street.show(first, last, this);
    const whole = first === 0 && last === this.data.score.bars.length;
    const chosen = new Set(whole ? [] : this.data.shown.slice(first, last));
    this.view.bars.forEach((bar, i) => bar.classList.toggle('chosen', chosen.has(i)));
    const only = large ? this.view.struckIn(first, last) : null;
    if (String([...(only || [])]) !== String([...(this.view.face.only || [])])) this.view.face.arrange(only);
    if (this.player.state === 'rest') this.rest();
  }

  /** Shows where it would begin. */
  rest() {
    const b = this.player.from ?? this.choice.first;
    this.view.ready(b, { last: this.choice.last });
    this.street.at(b);
    say('step', '');
  }

  /** The player rests, plays or is paused: shows it. */
  changed() {
    const { state, clock, from } = this.player;
    const plays = state === 'playing' || state === 'starting';
    say('play', plays ? WORDS.pause : state === 'paused' ? WORDS.on : WORDS.play);
    document.documentElement.classList.toggle('plays', plays);
    const away = state === 'paused' || (state === 'rest' && from !== null && from !== this.choice.first);
    byId('over').hidden = !away;
    if (state === 'playing') {
      this.told = null;
      cancelAnimationFrame(this.frames);
      this.frames = requestAnimationFrame(() => this.frame());
    } else if (clock.held) {
      this.view.paused(clock.held.step, clock.held.t);
      say('said', 'paused');
    } else {
      this.view.tempo(this.choice.tempo);
      this.rest();
    }
  }

  toggle() {
    const { state } = this.player;
    if (state === 'playing' || state === 'starting') this.player.pause();
    else void this.player.play();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.altKey || event.ctrlKey || event.metaKey || target.closest('input, select, textarea, #face')) return;
    const stick = { KeyF: 'L', KeyJ: 'R' }[event.code];
    const bar = this.player.from ?? Math.max(this.street.bar, 0);
    const { first, last } = this.choice;
    if (event.code === 'Space' && !target.closest('button, summary, a') && !event.repeat) this.toggle();
    else if (event.key === 'ArrowLeft') this.player.go(Math.max(bar - 1, first));
    else if (event.key === 'ArrowRight') this.player.go(Math.min(bar + 1, last - 1));
    else if (event.key === 'Home') this.player.go(null);
    else if (event.key === '-') this.tempo(this.choice.tempo - 5);
    else if (event.key === '+') this.tempo(this.choice.tempo + 5);
    else if (stick && this.choice.along && !event.repeat) this.hands.show(null, this.fit((_, __, meant) => meant === stick || meant === ''));
    else return;
    event.preventDefault();
  }

  /** Says what is wrong, where it can't be overlooked. @param {string} text */
  trouble(text) {
    say('trouble', text);
    byId('trouble').hidden = text === '';
  }

  /** Sounds a note of the drawn pan. @param {string} name */
  hear(name) {
    const found = nearest(this.known, name);
    if (!found) return;
    const { sound, state } = this.player;
    if (sound && this.player.context?.state === 'running') {
      sound.tap(found.sound, found.rate);
    } else if (state === 'rest' || state === 'paused') {
      void this.player.ready().then((trouble) => {
        if (trouble === 'none' || trouble === 'broken') this.trouble('This browser can’t play the sound of this page: open the file in another one.');
        else this.player.sound?.tap(found.sound, found.rate);
      });
    }
  }

  /** How a tap fits what plays, if that is wanted. @param {(struck: string, row: number, stick: string) => boolean} meant */
  fit(meant) {
    if (!this.choice.along || this.player.state !== 'playing') return null;
    const { clock } = this.player;
    const place = clock.place(this.player.heard() - this.choice.late / 1000);
    if (!place || place.early || place.step.heard === 'count') return null;
    return fit(this.data.score, meant, place.t, clock.scale(place.step));
  }

  further() {
    const open = byId('further').getAttribute('aria-expanded') !== 'true';
    byId('further').setAttribute('aria-expanded', String(open));
    say('further', open ? 'Back' : 'More');
    const to = open ? byId('more') : document.body;
    to.scrollIntoView({ block: 'start' });
    if (open) to.focus({ preventScroll: true });
  }

  signs() {
    const legend = byId('legend');
    legend.hidden = !legend.hidden;
    byId('signs').setAttribute('aria-expanded', String(!legend.hidden));
  }

  /** Shows what was practised. */
  done() {
    const told = this.log.told();
    const list = document.createElement(told.length ? 'ul' : 'p');
    for (const line of told) list.appendChild(document.createElement('li')).textContent = line;
    if (!told.length) list.textContent = 'Nothing yet.';
    const into = byId('done');
    while (into.firstChild) into.firstChild.remove();
    into.appendChild(list);
    byId('forget').hidden = !told.length;
  }

  /** A step was played to its end. @param {Step | null} step */
  played(step) {
    const { first, last, tempo } = this.choice;
    if (!step || step.heard !== 'all' || step.first !== first || step.last !== last) return;
    this.log.note(named(first, last, this.data.score.pickup), (tempo * step.percent) / 100);
    this.done();
  }

  frame() {
    const { player, choice } = this;
    if (player.state !== 'playing') return;
    const { clock } = player;
    const heard = player.heard() - choice.late / 1000;
    if (clock.end !== null && heard >= clock.end) {
      this.played(this.told);
      player.stop(false);
      say('said', 'the end');
      return;
    }
    const place = clock.place(heard + HALF_A_PICTURE);
    if (place && !place.early) {
      const { step, t } = place;
      if (step !== this.told) {
        this.played(this.told);
        this.told = step;
        say('said', step.what);
        say('step', choice.drill === 'once' || step.heard === 'count' ? '' : step.what.replace(/^bars? \d+( to \d+)?(, | at )/, ''));
        this.view.tempo((choice.tempo * step.percent) / 100);
      }
      this.view.show(step, t, clock.after(place.laid), clock.scale(step));
      this.street.at(step.heard === 'count' ? step.first : this.view.bar);
    }
    this.frames = requestAnimationFrame(() => this.frame());
  }
}

const page = new Page(JSON.parse(byId('data').textContent || ''));
page.done();
page.trouble('');
document.documentElement.classList.add('ready');
// Now that the dock is there, it takes its room.
page.fitted();
