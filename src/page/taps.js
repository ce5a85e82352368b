// Taps on the drawn pan: a tap sounds the note, a hold rolls it; while the tune plays, they can be shown beside what was to be struck.

/** @import {Data, Score} from './data.js' */
import { firstFrom } from './strokes.js';

/** How long a note is held until it rolls, and how often it is struck then, in milliseconds. */
export const ROLL = { after: 320, every: 75 };

/** How far a tap may be off to be in time, and to belong to a stroke at all, in seconds: some 0.06 s is what ears pass in a band. */
export const FITS = { inTime: 0.06, near: 0.3 };

/**
 * Which stroke of the bank sounds each note that the part plays, by the number of its row and what is struck.
 *
 * @param {Data} data
 * @returns {Map<string, number>}
 */
export function sounds(data) {
  const { score, bank, own } = data;
  /** @type {Map<string, number>} */
  const out = new Map();
  // Of each list its own strokes, as they stand there; an onset's are in the order of what it strikes.
  const lists = [score.strokes, ...score.rolls.map(({ strokes }) => strokes)].map((packed) => {
    const list = [];
    for (let i = 0, at = 0; i < packed.length; i += 4) {
      at += packed[i];
      list.push({ at, sound: packed[i + 1] });
    }
    return list;
  });
  score.onsets.forEach((onsets, row) => {
    for (const { at, struck } of onsets) {
      if (struck.every((name) => out.has(`${row} ${name}`))) continue;
      for (const list of lists) {
        /** @type {number[]} */
        const here = [];
        for (let i = firstFrom(list, (i) => list[i].at, at); i < list.length && list[i].at === at; i++) {
          if (bank.entries[list[i].sound].voice === own[row]) here.push(list[i].sound);
        }
        if (here.length === struck.length) struck.forEach((name, i) => out.set(`${row} ${name}`, here[i]));
      }
    }
  });
  return out;
}

/**
 * The stroke of the bank that sounds a note, and how much higher it is to sound: the note's own, or that of the nearest note in pitch.
 *
 * @param {Map<string, number>} known
 * @param {string} name
 */
export function nearest(known, name) {
  const sound = known.get(name);
  if (sound !== undefined) return { sound, rate: 1 };
  const [row, key] = name.split(' ');
  const wanted = Number(key);
  const others = [...known.keys()].filter((other) => other.startsWith(`${row} `)).map((other) => Number(other.split(' ')[1]));
  const near = others.filter((other) => !Number.isNaN(other)).sort((a, b) => Math.abs(a - wanted) - Math.abs(b - wanted))[0];
  const of = known.get(`${row} ${near}`);
  return near === undefined || of === undefined || Number.isNaN(wanted) ? null : { sound: of, rate: 2 ** ((wanted - near) / 12) };
}

/**
 * How a tap fits: nothing where no stroke is near.
 *
 * @param {Score} score
 * @param {(struck: string, row: number, stick: string) => boolean} meant whether a stroke is what was tapped
 * @param {number} t score time of the tap
 * @param {number} scale seconds that a microsecond takes
 * @returns {'early' | 'late' | 'in time' | 'other note' | null}
 */
export function fit(score, meant, t, scale) {
  let [best, other] = [Infinity, Infinity];
  score.onsets.forEach((onsets, row) => {
    const from = firstFrom(onsets, (i) => onsets[i].at, t - FITS.near / scale);
    for (let o = from; o < onsets.length && onsets[o].at <= t + FITS.near / scale; o++) {
      const off = (t - onsets[o].at) * scale;
      const right = onsets[o].struck.some((name, i) => meant(name, row, (onsets[o].sticks || [])[i] || ''));
      if (right && Math.abs(off) < Math.abs(best)) best = off;
      if (!right && Math.abs(off) < Math.abs(other)) other = off;
    }
  });
  if (best === Infinity) return other === Infinity ? null : 'other note';
  // Nearer to another stroke by far: the right note, but not for now.
  if (Math.abs(best) > FITS.inTime && Math.abs(other) <= FITS.inTime) return 'other note';
  return Math.abs(best) <= FITS.inTime ? 'in time' : best < 0 ? 'early' : 'late';
}
