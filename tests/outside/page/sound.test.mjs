// What a page sounds like, rendered without a sound card: onsets, pitches, tempo, loops, mixes.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { choose, close, offline, open, samples, uncounted } from './browser.mjs';
import { onsets, pitch } from './ears.mjs';
import { performance } from './help.mjs';

after(close);

/** How far an onset may be off, in seconds. */
const ONSET = 0.01;

/** Renders what a page plays. @param {(page: any) => Promise<void>} choose what the player does first */
async function heard(name, seconds, choose) {
  let sound;
  let starts;
  await open(name, { before: offline, beforeWith: { seconds } }, async (page) => {
    await page.click('text=alone');
    await uncounted(page);
    await choose(page);
    await page.click('#play');
    sound = await samples(page);
    starts = await page.evaluate(() => window.starts);
  });
  return { sound, starts };
}

/** Sees that onsets are at these times, counted from the first, and nowhere else. */
function agree(found, expected, name) {
  assert.ok(found.length >= expected.length, `${name}: ${found.length} of ${expected.length} onsets`);
  expected.forEach((at, i) => {
    const off = found[i] - found[0] - at;
    assert.ok(Math.abs(off) <= ONSET, `${name}: onset ${i} is ${(off * 1000).toFixed(1)} ms off`);
  });
}

const own = () => performance('steps-lead').strokes.filter(({ voice }) => voice === 0);

test('onsets and pitches are those of the performance', async () => {
  const { sound, starts } = await heard('steps-lead', 10, async () => {});
  const strokes = own();
  const found = onsets(sound);
  assert.equal(found.length, strokes.length, `onsets at ${found}`);
  agree(found, strokes.map(({ seconds }) => seconds), 'full tempo');
  assert.ok(Math.abs(found[0] - starts[0].when) <= ONSET, 'a stroke is heard when it is asked for');
  strokes.forEach(({ key, note }, i) => {
    const is = pitch(sound, found[i] + 0.06, 0.3);
    assert.equal(is.key, key, `${note} is stroke ${i}`);
    assert.ok(Math.abs(is.cents) < 4, `${note} is ${is.cents} cents off`);
  });
});

test('half the tempo doubles the times and leaves the pitches', async () => {
  const { sound } = await heard('steps-lead', 18, async (page) => {
    await page.locator('#tempo').fill('50');
  });
  const strokes = own();
  const found = onsets(sound);
  assert.equal(found.length, strokes.length);
  agree(found, strokes.map(({ seconds }) => 2 * seconds), 'half the tempo');
  strokes.forEach(({ key, note }, i) => {
    const is = pitch(sound, found[i] + 0.06, 0.3);
    assert.equal(is.key, key, `${note} is stroke ${i}`);
    assert.ok(Math.abs(is.cents) < 4, `${note} is ${is.cents} cents off`);
  });
});

test('a tempo changed on the way keeps what has been, and scales what comes', async () => {
  const { sound } = await heard('steps-lead', 14, async (page) => {
    // At the first moment after 3 s of sound.
    await page.evaluate(() => {
      const wait = () => {
        if (!window.context || window.context.currentTime < 3) return setTimeout(wait, 20);
        window.changed = window.context.currentTime;
        const slider = document.getElementById('tempo');
        slider.value = '75';
        slider.dispatchEvent(new Event('input', { bubbles: true }));
      };
      wait();
    });
  });
  const found = onsets(sound);
  assert.equal(found.length, own().length);
  const gaps = found.slice(1).map((at, i) => at - found[i]);
  const [full, slow] = [0.5, 0.5 / 0.75];
  assert.ok(Math.abs(gaps[0] - full) < ONSET && Math.abs(gaps.at(-1) - slow) < ONSET, `${gaps}`);
  const between = gaps.filter((gap) => Math.abs(gap - full) > ONSET && Math.abs(gap - slow) > ONSET);
  assert.ok(between.length <= 1, `one gap is cut by the change: ${gaps}`);
});

test('a loop begins again without a gap', async () => {
  const { sound } = await heard('steps-lead', 14, async (page) => {
    await page.click('text=loop: again and again');
    await choose(page, 1, 2);
  });
  const bar = own().filter(({ seconds }) => seconds > 1.99 && seconds < 3.99);
  assert.equal(bar.length, 4);
  const found = onsets(sound);
  const expected = Array.from({ length: 26 }, (_, i) => 2 * Math.floor(i / 4) + bar[i % 4].seconds - bar[0].seconds);
  agree(found, expected, 'the loop');
  for (let i = 4; i < 26; i += 4) {
    const seam = found[i] - found[i - 4] - 2;
    assert.ok(Math.abs(seam) <= 0.005, `a gap of ${(seam * 1000).toFixed(1)} ms`);
  }
  found.slice(0, 24).forEach((at, i) => assert.equal(pitch(sound, at + 0.06, 0.3).key, bar[i % 4].key));
});

test('the part can be heard loud, alone, as in the band, and not at all, and nothing passes the ceiling', async () => {
  const loud = {};
  for (const way of ['my part loud, the band soft', 'same loudness as the band', 'silent: I play it']) {
    const { sound } = await heard('sea-grape-road-lead', 12, (page) => page.click(`text=${way}`));
    const peak = sound.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
    assert.ok(peak > 0.05 && peak <= 0.8414, `${way}: peak ${peak}`);
    loud[way] = Math.sqrt(sound.reduce((sum, sample) => sum + sample * sample, 0) / sound.length);
  }
  const levels = Object.values(loud).map((level) => 20 * Math.log10(level));
  assert.ok(Math.max(...levels) - Math.min(...levels) < 6, `no way jumps out: ${levels}`);
});

test('the count-in counts a bar before the first stroke', async () => {
  const { starts } = await heard('steps-lead', 6, (page) => page.click('#counted'));
  const times = [...new Set(starts.map(({ when }) => Math.round(1000 * (when - starts[0].when)) / 1000))];
  [0, 0.5, 1, 1.5, 2, 2.5].forEach((at, i) => assert.ok(Math.abs(times[i] - at) < 1e-3, `${times}`));
});
