// Sound: the bank's strokes through Web Audio. Strokes keep their pitch and length at every tempo, since they are only placed.

/** @import {Data, Strike, Way} from './data.js' */

/** How long a change of loudness takes, in seconds, so that it does not click. */
const GLIDE = 0.02;

/** Input of the curve that keeps peaks down: so many times full scale. */
const REACH = 8;

/** How loud a tap on the drawn pan is, of full force. */
const TAP = 0.7;

/**
 * A stroke that sounds, or will.
 *
 * @typedef {object} Sounding
 * @property {number} at
 * @property {number} end
 * @property {number} place
 * @property {number} level
 * @property {number} stopped when it is stopped; Infinity when it rings out
 * @property {number} damped when a hand damps it; Infinity when none does
 * @property {number} damp how long that takes
 * @property {AudioBufferSourceNode} source
 * @property {GainNode} gain
 */

export class Sound {
  /**
   * @param {BaseAudioContext} context
   * @param {Data} data
   * @param {AudioBuffer} buffer the bank
   */
  constructor(context, data, buffer) {
    this.context = context;
    this.data = data;
    this.buffer = buffer;
    /** @type {Sounding[]} in order of their beginning */
    this.sounding = [];
    const ceiling = context.createWaveShaper();
    ceiling.curve = curve(data.ceiling);
    const into = context.createGain();
    into.gain.value = 1 / REACH;
    this.all = context.createGain();
    this.own = context.createGain();
    this.band = context.createGain();
    this.clicks = context.createGain();
    /** What the player taps on the drawn pan: heard whichever way the part is. */
    this.taps = context.createGain();
    this.taps.connect(into);
    /** @type {Map<number, GainNode>} the last tap of each place */
    this.tapped = new Map();
    this.own.connect(this.all);
    this.band.connect(this.all);
    this.all.connect(into);
    this.clicks.connect(into);
    into.connect(ceiling);
    ceiling.connect(context.destination);
    this.voices = data.bank.sides.map((side, voice) => this.voice(side, voice));
  }

  /**
   * Where a voice goes: the player's own into the middle, the others to their sides; what counts goes past both.
   *
   * @param {number} side -1 left, 1 right
   * @param {number} voice
   */
  voice(side, voice) {
    if (this.data.own.includes(voice)) return this.own;
    if (voice === this.data.bank.sides.length - 1) return this.clicks;
    // Browsers before 2021 may not place a voice to the side: then the band is in the middle.
    if (typeof this.context.createStereoPanner !== 'function') return this.band;
    const panner = this.context.createStereoPanner();
    panner.pan.value = side;
    panner.connect(this.band);
    return panner;
  }

  /**
   * Chooses how the part is heard.
   *
   * @param {Way} way
   * @param {boolean} [now] at once, before anything sounds
   */
  hear(way, now = false) {
    const at = this.context.currentTime;
    const levels = [
      [this.own, way.own],
      // A stereo panner lowers what is in the middle by 3 dB.
      [this.band, way.band * Math.SQRT2],
      [this.all, way.all],
      [this.clicks, way.all],
    ];
    for (const [{ gain }, level] of /** @type {[GainNode, number][]} */ (levels)) {
      if (now) gain.value = level;
      else gain.setTargetAtTime(level, at, GLIDE);
    }
  }

  /**
   * Strikes at a time.
   *
   * @param {Strike} strike
   * @param {number} at
   * @param {(micros: number) => number} seconds
   */
  strike(strike, at, seconds) {
    const { bank } = this.data;
    const entry = bank.entries[strike.sound];
    const source = this.context.createBufferSource();
    source.buffer = this.buffer;
    const gain = this.context.createGain();
    const level = entry.gain * strike.loud;
    gain.gain.value = level;
    source.connect(gain).connect(this.voices[entry.voice]);
    source.start(at, entry.from, entry.lasts);
    const end = at + entry.lasts;
    /** @type {Sounding} */
    const sounding = {
      ...{ at, end, level, source, gain, stopped: Infinity, damp: entry.damp },
      place: entry.place,
      damped: strike.held > 0 ? at + seconds(strike.held) : Infinity,
    };
    source.onended = () => {
      gain.disconnect();
      this.sounding = this.sounding.filter((other) => other !== sounding);
    };
    for (const other of this.sounding) {
      if (entry.stops.includes(other.place) && other.at < at) this.still(other, at, bank.again);
    }
    this.still(sounding, sounding.damped, sounding.damp);
    this.sounding.push(sounding);
  }

  /**
   * Sounds a stroke now, for a tap on the drawn pan.
   *
   * @param {number} sound stroke of the bank
   * @param {number} rate how much higher it sounds, 1 as it is: a note that the part does not play is made of its nearest neighbour
   */
  tap(sound, rate) {
    const entry = this.data.bank.entries[sound];
    const at = this.context.currentTime;
    const [source, gain] = [this.context.createBufferSource(), this.context.createGain()];
    source.buffer = this.buffer;
    source.playbackRate.value = rate;
    gain.gain.value = entry.gain * TAP;
    source.connect(gain).connect(this.taps);
    const place = Math.round(100 * rate) + 1000 * entry.place;
    this.tapped.get(place)?.gain.setTargetAtTime(0, at, GLIDE);
    this.tapped.set(place, gain);
    source.onended = () => gain.disconnect();
    source.start(at, entry.from, entry.lasts);
  }

  /**
   * Lets a stroke die away from a time on.
   *
   * @param {Sounding} sounding
   * @param {number} at
   * @param {number} fade seconds
   */
  still(sounding, at, fade) {
    if (at >= sounding.stopped || at >= sounding.end) return;
    const { gain } = sounding.gain;
    gain.cancelScheduledValues(Math.min(at, sounding.stopped));
    gain.setValueAtTime(sounding.level, at);
    gain.linearRampToValueAtTime(0, at + fade);
    sounding.source.stop(Math.min(at + fade, sounding.end));
    sounding.stopped = at;
  }

  /**
   * Takes back what begins at a time or later; what rings by then rings on.
   *
   * @param {number} from
   */
  unstrike(from) {
    const now = this.context.currentTime;
    for (const sounding of [...this.sounding]) {
      if (sounding.at >= from - 1e-6) {
        sounding.source.onended = null;
        if (sounding.at > now) {
          sounding.source.disconnect();
          sounding.source.stop();
        } else {
          this.still(sounding, Math.max(now, sounding.at), GLIDE);
        }
        this.sounding = this.sounding.filter((other) => other !== sounding);
      } else if (sounding.stopped >= from && sounding.stopped < Infinity) {
        sounding.gain.gain.cancelScheduledValues(from);
        sounding.source.stop(sounding.end);
        sounding.stopped = Infinity;
        this.still(sounding, sounding.damped, sounding.damp);
      }
    }
  }
}

/**
 * A curve that leaves samples as they are up to eight tenths of the ceiling, and bends what is louder so that nothing passes it.
 *
 * @param {number} ceiling
 */
export function curve(ceiling) {
  const points = 8193;
  const knee = 0.8 * ceiling;
  const out = new Float32Array(points);
  for (let i = 0; i < points; i++) {
    const x = ((2 * i) / (points - 1) - 1) * REACH;
    const over = Math.abs(x) - knee;
    const y = over <= 0 ? Math.abs(x) : knee + (ceiling - knee) * Math.tanh(over / (ceiling - knee));
    out[i] = Math.sign(x) * y;
  }
  return out;
}

/**
 * The bank's samples, in the form of a promise that old browsers do not give.
 *
 * @param {BaseAudioContext} context
 * @param {ArrayBuffer} file
 * @returns {Promise<AudioBuffer>}
 */
export function decoded(context, file) {
  return new Promise((done, fail) => {
    const promised = context.decodeAudioData(file, done, fail);
    if (promised) promised.then(done, fail);
  });
}

/**
 * Bytes from base64.
 *
 * @param {string} text
 */
export function bytes(text) {
  const signs = atob(text.trim());
  const out = new Uint8Array(signs.length);
  for (let i = 0; i < signs.length; i++) out[i] = signs.charCodeAt(i);
  return out.buffer;
}
