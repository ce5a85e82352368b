// What the page is given: the shape of the JSON that stands in it. Times are microseconds at the written tempo.

/**
 * @typedef {object} Bar a bar as played
 * @property {number} at
 * @property {number} end
 * @property {number} section number of the section in the tune
 * @property {number} bar number in the section, from 0
 * @property {number} clicks number of the clicks of its beats
 * @property {number} count number of the clicks of a count-in before it
 * @property {number} phrase number of the bar after the phrase that begins here
 * @property {boolean} kept whether the time-keeper strikes in it
 * @property {number[]} [into] strokes that sound on into it
 *
 * @typedef {object} Clicks
 * @property {number} length
 * @property {[number, boolean][]} at when, and whether accented
 *
 * @typedef {object} Section a section as played
 * @property {string} name
 * @property {number} section
 * @property {number} first first bar
 * @property {number} last bar after the last
 * @property {number} tempo beats a minute, as written
 *
 * @typedef {object} Onset something that the player strikes
 * @property {number} at
 * @property {number} length
 * @property {boolean} [rolled]
 * @property {string[]} struck MIDI keys, or letters of percussion
 * @property {string[]} [sticks] L or R, where it is known
 *
 * @typedef {object} Score
 * @property {number} end
 * @property {number[]} strokes four numbers each: time since the one before, stroke of the bank, loudness in thousandths, how long held
 * @property {{percent: number, strokes: number[]}[]} rolls
 * @property {Bar[]} bars
 * @property {boolean} pickup whether the tune begins with a pickup: its bar is bar 0, in the tune and in its section
 * @property {Clicks[]} clicks
 * @property {Section[]} sections
 * @property {Onset[][]} onsets what the player strikes, a list a row
 * @property {[number, string][]} chords
 * @property {[number, string][]} words
 * @property {number | null} keeper
 *
 * @typedef {object} Entry a stroke of the bank
 * @property {number} voice
 * @property {number} from
 * @property {number} lasts
 * @property {number} gain
 * @property {number} place
 * @property {number[]} stops
 * @property {number} damp
 *
 * @typedef {object} Click a click of the sticks that count: the accented one, and the other
 * @property {number} sound
 * @property {number} loud
 *
 * @typedef {object} Way a way to hear the part
 * @property {string} name
 * @property {number} own
 * @property {number} band
 * @property {number} all
 *
 * @typedef {object} Data
 * @property {string} key what the player's settings are kept under
 * @property {number[]} own the player's voices, one a row
 * @property {string[]} rows names of the player's parts, one a row
 * @property {Score} score
 * @property {{entries: Entry[], again: number, clicks: Click[], sides: number[]}} bank sides: where each voice stands, -1 left; the last one counts
 * @property {Way[]} ways
 * @property {number} ceiling
 * @property {number[]} ladder percents
 * @property {number[][]} cells for each bar that is shown, when the cells of each of its rows begin, from the start of the bar
 * @property {number[]} shown for each bar as played, the bar that is shown for it; -1 for none
 *
 * @typedef {object} Step a piece of what is practised
 * @property {number} from
 * @property {number} to
 * @property {number} percent
 * @property {'count' | 'all' | 'keeper' | 'sticks'} heard
 * @property {string} what
 * @property {number} first first bar
 * @property {number} last bar after the last
 *
 * @typedef {object} Strike a stroke to come
 * @property {number} t
 * @property {number} sound stroke of the bank
 * @property {number} loud 1 for full force
 * @property {number} held microseconds until it is damped; 0 when it rings
 */

export {};
