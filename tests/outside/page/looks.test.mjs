// How pages look and read: text stays text, nothing overflows, fingers find everything, axe-core has nothing to say.

import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { choose, close, modules, open, uncounted } from './browser.mjs';
import { pages } from './help.mjs';
import { misplaced, staged } from './places.mjs';

after(close);

const DEMO = ['sea-grape-road-lead', 'sea-grape-road-second', 'sea-grape-road-bass', 'sea-grape-road-iron', 'slow-water-cello'];

const SIZES = [
  { width: 360, height: 640 },
  { width: 390, height: 844 },
  { width: 640, height: 360 },
  { width: 768, height: 1024 },
  { width: 1280, height: 800 },
];

test('texts of files are shown as text', async () => {
  await open('hostile-lead', {}, async (page) => {
    assert.equal(await page.title(), '<script>alert(1)</script>: lead');
    assert.equal(await page.textContent('h1'), '<script>alert(1)</script>');
    const about = await page.textContent('.care p:last-child');
    assert.ok(about.includes(`lead on Rim "'<b>,`) && about.includes(`"><img src=x onerror=alert(2)> & 'others' </title>`), about);
    await page.click('#play');
    await page.waitForFunction(() => document.getElementById('words').textContent.includes('alert(3)'));
    assert.equal(await page.textContent('#words'), '</script><script>alert(3)</script>');
    assert.deepEqual(await page.evaluate(() => [document.querySelectorAll('img').length, document.scripts.length]), [0, 4]);
  });
});

test('nothing is cut off or lies over something else, and fingers find everything', async () => {
  for (const name of [...DEMO, 'sea-grape-road-tenor', 'jetty-jam-guitar', 'hostile-lead', 'sixteenths-lead', 'kit']) {
    for (const viewport of SIZES) {
      await open(name, { options: { viewport } }, async (page) => {
        assert.deepEqual(await page.evaluate(misplaced), [], `${name} at ${viewport.width}`);
        const { dock, play, drums, screen } = await page.evaluate(staged);
        assert.ok(play.bottom <= screen[1] && play.top >= 0, `${name} at ${viewport.width}: Play is on the screen`);
        for (const drum of drums) {
          assert.ok(drum.top >= -1 && drum.left >= -1 && drum.right <= screen[0] + 1, `${name} at ${viewport.width}: ${JSON.stringify(drum)}`);
          const clear = drum.bottom <= dock.top + 1 || drum.right <= dock.left + 1;
          assert.ok(clear && drum.bottom <= screen[1] + 1, `${name} at ${viewport.width}: a drum under the dock`);
        }
        await page.click('#choose');
        assert.deepEqual(await page.evaluate(misplaced), [], `${name} at ${viewport.width}, choosing`);
      });
    }
  }
});

test('letters twice as large cover and cut nothing, however they were made so', async () => {
  for (const name of ['sea-grape-road-lead', 'slow-water-cello', 'kit']) {
    for (const viewport of SIZES) {
      for (const way of ['text', 'browser']) {
        await open(name, { options: { viewport } }, async (page) => {
          if (way === 'text') {
            await page.evaluate(() => (document.documentElement.style.fontSize = '200%'));
          } else {
            const client = await page.context().newCDPSession(page);
            await client.send('Page.setFontSizes', { fontSizes: { standard: 32, fixed: 26 } });
            await page.reload();
          }
          const size = await page.evaluate(() => parseFloat(getComputedStyle(document.documentElement).fontSize));
          assert.equal(size, 32, `${way}: the letters are twice as large`);
          await page.evaluate(() => window.dispatchEvent(new Event('resize')));
          await page.waitForTimeout(100);
          assert.deepEqual(await page.evaluate(misplaced), [], `${name} at ${viewport.width}, ${way}`);
          await page.click('#play');
          await page.waitForFunction(() => document.getElementById('play').textContent === 'Pause');
          assert.deepEqual(await page.evaluate(misplaced), [], `${name} at ${viewport.width}, ${way}, playing`);
        });
      }
    }
  }
});

test('names on a phone have letters of 12 pixels and more, sticks of 10, and no name covers another', async () => {
  for (const name of [...DEMO, 'sea-grape-road-tenor', 'jetty-jam-guitar', 'kit']) {
    await open(name, {}, async (page) => {
      await uncounted(page);
      const { names, sticks, over } = await page.evaluate(() => {
        const scale = document.querySelector('#face > svg').getScreenCTM().a;
        const shown = [...document.querySelectorAll('#face .name')].filter((name) => !name.closest('.away'));
        const size = (text) => parseFloat(getComputedStyle(text).fontSize) * scale;
        const boxes = shown.map((name) => {
          const { left, right, top, bottom } = name.getBoundingClientRect();
          // Letters fill the middle of their line's height.
          const high = bottom - top;
          return { name: name.textContent, left, right, top: top + 0.22 * high, bottom: bottom - 0.22 * high };
        });
        const over = boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => {
          return Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
        }).map((b) => `${a.name} over ${b.name}`));
        const sticks = [...document.querySelectorAll('#face .handed .stick')].map((stick) => 12 * stick.getScreenCTM().a);
        return { names: shown.map(size), sticks, over };
      });
      assert.ok(Math.min(...names) >= 11.99, `${name}: ${Math.min(...names)} px`);
      assert.ok(sticks.every((size) => size >= 10), `${name}: sticks of ${sticks}`);
      assert.deepEqual(over, [], name);
    });
  }
});

test('axe-core finds nothing, by day and by night, at rest and while it plays', async () => {
  const axe = readFileSync(modules.resolve('axe-core/axe.min.js'), 'utf8');
  for (const name of [...DEMO, 'hostile-lead', 'kit']) {
    for (const colorScheme of ['light', 'dark']) {
      await open(name, { options: { colorScheme } }, async (page) => {
        await page.evaluate(axe);
        // On a screen as high as the page nothing is hidden under the dock, which it could not read.
        await page.evaluate(() => (document.querySelector('.stage').style.minHeight = '40rem'));
        await page.setViewportSize({ width: 360, height: 12_000 });
        await page.waitForTimeout(300);
        await page.evaluate(() => (document.getElementById('dock').style.position = 'static'));
        const look = async (when) => {
          const { violations, incomplete } = await page.evaluate(() => window.axe.run());
          // What lies under the letters of a drawing it can't read: the test of names below measures that. Signs and single figures are no
          // text to it. The dock and the words, which lie over the page, are measured there too.
          const docked = await page.evaluate((all) => all.filter((selector) => document.querySelector(selector)?.closest('#dock, #words')), incomplete.flatMap(({ nodes }) => nodes.map(({ target }) => target[0])));
          const real = ({ html, any, target }) =>
            !/^<t(ext|span)/.test(html) && !['nonBmp', 'shortTextContent'].includes(any[0]?.data?.messageKey) && !docked.includes(target[0]);
          const undecided = incomplete.filter(({ id }) => id === 'color-contrast')
            .map((one) => ({ ...one, nodes: one.nodes.filter(real) })).filter(({ nodes }) => nodes.length);
          const told = [...violations, ...undecided].map(({ id, help, nodes }) => `${id}: ${help}: ${nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')}`);
          assert.deepEqual(told, [], `${name}, ${colorScheme}, ${when}`);
        };
        await look('at rest');
        await page.click('#signs');
        await page.click('#choose');
        await look('choosing, with the signs explained');
        await page.click('#choose');
        await page.click('#play');
        await page.waitForFunction(() => document.querySelector('.note.now, .note.held'), null, { timeout: 60_000 });
        await look('playing');
      });
    }
  }
});

test('names on the pan and all that stands in the dock stand out 7 to 1', async () => {
  for (const colorScheme of ['light', 'dark']) {
    await open('sea-grape-road-lead', { options: { colorScheme } }, async (page) => {
      const pairs = await page.evaluate(() => {
        const style = (selector) => getComputedStyle(document.querySelector(selector));
        const stops = [...document.querySelectorAll('#raised stop')].map((stop) => getComputedStyle(stop).stopColor);
        document.querySelector('#face .note').classList.add('now');
        const now = [style('#face .now .name').fill, style('#play').backgroundColor];
        const ground = (element) => {
          const { backgroundColor } = getComputedStyle(element);
          return backgroundColor === 'rgba(0, 0, 0, 0)' ? ground(element.parentElement) : backgroundColor;
        };
        const docked = [...document.querySelectorAll('.dock *, #words')].filter((element) => [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim()));
        return [...stops.map((stop) => [style('#face .note:not(.now) .name').fill, stop]), now, ...docked.map((element) => [getComputedStyle(element).color, ground(element)])];
      });
      const light = (colour) => {
        const [r, g, b] = colour.match(/[\d.]+/g).map((n) => n / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05;
      };
      assert.ok(pairs.length > 20, `${pairs.length} texts`);
      for (const [over, under] of pairs) {
        const contrast = Math.max(light(over), light(under)) / Math.min(light(over), light(under));
        assert.ok(contrast >= 7, `${colorScheme}: ${over} on ${under}: ${contrast.toFixed(1)}`);
      }
    });
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
    await uncounted(page);
    await choose(page, 1, 2);
    await page.reload();
    assert.equal(await page.textContent('#percent'), '70 %');
    assert.ok(await page.isChecked('input[value=ladder]') && (await page.isChecked('input[value=silent]')));
    assert.equal(await page.getAttribute('#counted', 'aria-pressed'), 'false');
    assert.equal(await page.textContent('#stretch'), 'Bar 2');
    assert.equal(await page.textContent('#again'), 'Ladder');
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
          await uncounted(page);
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
