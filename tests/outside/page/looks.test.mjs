// How pages look and read: text stays text, nothing overflows, fingers find everything, axe-core has nothing to say.

import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { close, modules, open } from './browser.mjs';
import { pages } from './help.mjs';

after(close);

const DEMO = ['sea-grape-road-lead', 'sea-grape-road-second', 'sea-grape-road-bass', 'sea-grape-road-iron', 'slow-water-cello'];

const SIZES = [
  { width: 360, height: 640 },
  { width: 640, height: 360 },
  { width: 1280, height: 800 },
];

test('texts of files are shown as text', async () => {
  await open('hostile-lead', {}, async (page) => {
    assert.equal(await page.title(), '<script>alert(1)</script>: lead');
    assert.equal(await page.textContent('h1'), '<script>alert(1)</script>');
    const about = await page.textContent('header p');
    assert.ok(about.includes(`lead on Rim "'<b>,`) && about.includes(`"><img src=x onerror=alert(2)> & 'others' </title>`), about);
    await page.click('#play');
    await page.waitForFunction(() => document.getElementById('words').textContent.includes('alert(3)'));
    assert.equal(await page.textContent('#words'), '</script><script>alert(3)</script>');
    assert.deepEqual(await page.evaluate(() => [document.querySelectorAll('img').length, document.scripts.length]), [0, 3]);
  });
});

test('nothing overflows, and fingers find everything', async () => {
  for (const name of [...DEMO, 'hostile-lead', 'sixteenths-lead', 'kit']) {
    for (const viewport of SIZES) {
      await open(name, { options: { viewport } }, async (page) => {
        const wrong = await page.evaluate(() => {
          const out = [];
          const { scrollWidth, clientWidth } = document.documentElement;
          if (scrollWidth > clientWidth) out.push(`the page is ${scrollWidth} wide, the screen ${clientWidth}`);
          for (const element of document.querySelectorAll('main *, header *, .bar-of-play *')) {
            const box = element.getBoundingClientRect();
            // The bar to come is cut off on purpose; what is unseen is for readers of screens.
            if (element.closest('#cells, .unseen, svg') || box.width === 0) continue;
            if (box.left < -1 || box.right > clientWidth + 1) out.push(`${element.outerHTML.slice(0, 80)}: ${box.left} to ${box.right}`);
          }
          for (const control of document.querySelectorAll('button, label, input[type=range]')) {
            const box = control.getBoundingClientRect();
            if (box.width < 43.9 || box.height < 43.9) out.push(`${control.outerHTML.slice(0, 80)}: ${box.width} by ${box.height}`);
          }
          return out;
        });
        assert.deepEqual(wrong, [], `${name} at ${viewport.width}`);
      });
    }
  }
});

test('axe-core finds nothing, by day and by night, at rest and while it plays', async () => {
  const axe = readFileSync(modules.resolve('axe-core/axe.min.js'), 'utf8');
  for (const name of [...DEMO, 'hostile-lead', 'kit']) {
    for (const colorScheme of ['light', 'dark']) {
      await open(name, { options: { colorScheme } }, async (page) => {
        await page.evaluate(axe);
        const look = async (when) => {
          const { violations } = await page.evaluate(() => window.axe.run({ resultTypes: ['violations'] }));
          const told = violations.map(({ id, help, nodes }) => `${id}: ${help}: ${nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')}`);
          assert.deepEqual(told, [], `${name}, ${colorScheme}, ${when}`);
        };
        await look('at rest');
        await page.click('#play');
        await page.waitForFunction(() => document.querySelector('.note.now, .note.held'), null, { timeout: 60_000 });
        await look('playing');
      });
    }
  }
});

test('who wants less motion gets none', async () => {
  await open('sea-grape-road-lead', { options: { reducedMotion: 'reduce' } }, async (page) => {
    const moving = await page.evaluate(() => {
      const all = [...document.querySelectorAll('*')].map((element) => getComputedStyle(element));
      return all.filter((style) => style.scrollBehavior === 'smooth' || style.animationName !== 'none' || style.transitionDuration !== '0s').length;
    });
    assert.equal(moving, 0);
  });
});

test('what was chosen is there again', async () => {
  await open('steps-lead', {}, async (page) => {
    await page.locator('#tempo').fill('70');
    await page.click('text=ladder: from slow');
    await page.click('text=silent: I play it');
    await page.uncheck('#counted');
    await page.click('.bar[data-shown="1"]');
    await page.reload();
    assert.equal(await page.textContent('#percent'), '70 %');
    assert.ok(await page.isChecked('input[value=ladder]') && (await page.isChecked('input[value=silent]')));
    assert.ok(!(await page.isChecked('#counted')));
    assert.equal(await page.textContent('#stretch'), 'bar 2');
  });
});

test('a browser that keeps nothing can be played with all the same', async () => {
  const before = () => {
    Object.defineProperty(window, 'localStorage', {
      get() {
        throw new DOMException('denied', 'SecurityError');
      },
    });
  };
  await open('steps-lead', { before }, async (page) => {
    await page.click('#faster');
    assert.equal(await page.textContent('#percent'), '105 %');
  });
});

test('the index of a pack leads to all of it, and looks as it should', async () => {
  const axe = readFileSync(modules.resolve('axe-core/axe.min.js'), 'utf8');
  for (const colorScheme of ['light', 'dark']) {
    for (const viewport of SIZES) {
      await open('pack/index', { options: { viewport, colorScheme } }, async (page) => {
        await page.evaluate(axe);
        // A list of names at first; a tap opens what there is for each.
        for (const name of await page.locator('summary').all()) {
          const box = await name.boundingBox();
          assert.ok(box && box.height >= 44 && box.width >= 44, 'names that fingers find');
          if (!(await name.evaluate((summary) => summary.parentElement.open))) await name.click();
        }
        const { violations } = await page.evaluate(() => window.axe.run());
        assert.deepEqual(violations.map(({ id, nodes }) => `${id}: ${nodes[0].html}`), []);
        // Nothing is loaded before somebody plays it; then the browser's own player takes the file beside the page.
        const tracks = await page.evaluate(() => [...document.querySelectorAll('audio')].map(({ src, preload, networkState }) => ({ src, preload, networkState })));
        assert.ok(tracks.length >= 3 && new Set(tracks.map(({ src }) => src)).size === tracks.length);
        for (const { src, preload, networkState } of tracks) assert.ok(existsSync(new URL(src)) && preload === 'none' && networkState !== 2, src);
        const links = await page.evaluate(() => [...document.querySelectorAll('a')].map(({ href }) => href));
        assert.ok(links.length >= 11, `${links}`);
        for (const link of links) assert.ok(existsSync(new URL(link)), link);
        assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= document.documentElement.clientWidth));
        const low = await page.evaluate(() => [...document.querySelectorAll('a')].filter((a) => a.getBoundingClientRect().height < 43.9).length);
        assert.equal(low, 0, 'links that fingers find');
      });
    }
  }
});

test('the index of a pack plays the tracks beside it', async () => {
  await open('pack/index', { asks: /[.]mp3$/ }, async (page) => {
    const lengths = await page.evaluate(() => Promise.all([...document.querySelectorAll('audio')].map((track) => new Promise((done, fail) => {
      track.addEventListener('loadedmetadata', () => done(track.duration));
      track.addEventListener('error', () => fail(new Error(track.error?.message)));
      track.preload = 'metadata';
      track.load();
    }))));
    const said = await page.evaluate(() => [...document.querySelectorAll('li:has(audio) small')].map((small) => small.textContent));
    assert.equal(said.length, lengths.length);
    lengths.forEach((seconds, i) => {
      const [minutes, rest] = said[i].split(', ')[1].split(':').map(Number);
      assert.ok(Math.abs(60 * minutes + rest - seconds) < 0.6, `${said[i]}: ${seconds} s`);
    });
  });
});

/** No check, but pictures for whoever looks at them: SHOTS names a folder. */
const pictures = process.env.SHOTS ? test : () => {};
pictures('pictures of the demo', async () => {
  for (const name of [...DEMO, 'jetty-jam-guitar', 'kit']) {
    for (const colorScheme of ['light', 'dark']) {
      for (const viewport of SIZES) {
        await open(name, { options: { viewport, colorScheme } }, async (page) => {
          await page.uncheck('#counted');
          await page.click('#play');
          await page.waitForTimeout(3000);
          const path = (what) => join(process.env.SHOTS, `${name}-${viewport.width}-${colorScheme}${what}.png`);
          await page.screenshot({ path: path('') });
          if (viewport.width === 360) await page.screenshot({ path: path('-all'), fullPage: true });
        });
      }
    }
  }
  assert.ok(pages());
});
