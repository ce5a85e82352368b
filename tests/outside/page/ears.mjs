// What is heard in samples: when strokes begin, and at which frequency a note sounds.

export const RATE = 44_100;

/** Hop of the energy in samples: 1 ms. */
const HOP = Math.round(RATE / 1000);

/**
 * When strokes begin, in seconds: where the energy of 4 ms rises by 6 dB against the 12 ms before, at the steepest place.
 *
 * @param {Float32Array} samples
 */
export function onsets(samples) {
  const frames = Math.floor(samples.length / HOP) - 4;
  const energy = new Float64Array(frames);
  for (let f = 0; f < frames; f++) {
    let sum = 1e-7;
    // The difference from sample to sample weighs the stick's bright beginning more than what rings on.
    for (let i = f * HOP + 1; i < (f + 4) * HOP; i++) sum += (samples[i] - samples[i - 1]) ** 2;
    energy[f] = sum;
  }
  const found = [];
  const rise = (f) => {
    const before = Math.max(energy[f - 4], energy[f - 8], energy[f - 12]);
    return 10 * Math.log10(energy[f] / before);
  };
  for (let f = 12; f < frames; f++) {
    if (rise(f) < 6 || energy[f] < 3e-6) continue;
    // The first frame that holds the stroke: its last millisecond is where the stroke begins.
    found.push(((f + 3.5) * HOP) / RATE);
    f += 60;
  }
  return found;
}

/** The power at a frequency, by Goertzel's recurrence, under a Hann window. */
function power(samples, from, length, frequency) {
  const w = (2 * Math.PI * frequency) / RATE;
  let [re, im] = [0, 0];
  for (let n = 0; n < length; n++) {
    const x = samples[from + n] * (0.5 - 0.5 * Math.cos((2 * Math.PI * n) / length));
    re += x * Math.cos(w * n);
    im += x * Math.sin(w * n);
  }
  return re * re + im * im;
}

/** Equal temperament at A4 = 440 Hz (ISO 16). @param {number} key a MIDI key */
export const hertz = (key) => 440 * 2 ** ((key - 69) / 12);

/**
 * The note that sounds from a time on: the MIDI key whose frequency is strongest, and how many cents it is off.
 *
 * @param {Float32Array} samples
 * @param {number} at seconds
 * @param {number} lasts seconds
 */
export function pitch(samples, at, lasts) {
  const [from, length] = [Math.round(at * RATE), Math.round(lasts * RATE)];
  const of = (cents) => power(samples, from, length, hertz(cents / 100));
  let best = 0;
  for (let key = 28; key <= 96; key++) if (of(key * 100) > of(best * 100)) best = key;
  let cents = best * 100;
  for (const step of [20, 5, 1, 0.25]) {
    for (let n = 0; n < 8 && of(cents + step) > of(cents); n++) cents += step;
    for (let n = 0; n < 8 && of(cents - step) > of(cents); n++) cents -= step;
  }
  return { key: best, cents: cents - best * 100 };
}
