// Prints a tune of 640 bars, none like another: forty sections of sixteen, to see whether a long page stays smooth.

const NOTES = 'C4 D4 E4 F4 G4 A4 B4 C5 D5 E5'.split(' ');

/** Numbers from 0 to 1, the same every time (a linear congruential generator). */
let state = 5;
const number = () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 32;

const bar = () => Array.from({ length: 8 }, () => NOTES[Math.floor(number() * NOTES.length)]).join(' ');
const lines = ['title Long', `band  ${process.argv[2]}`, 'tempo 120', 'roll  none', '', 'part lead on lead', 'part iron on iron', ''];
lines.push(`form ${Array.from({ length: 40 }, (_, i) => `s${i}`).join(' ')}`);
for (let i = 0; i < 40; i++) {
  lines.push('', `section s${i}`);
  lines.push(`  lead | ${Array.from({ length: 16 }, bar).join(' | ')} |`);
  lines.push(`  iron | X x x x x x x x | ${Array(15).fill('%').join(' | ')} |`);
}
console.log(lines.join('\n'));
