// Changes the meaning of the page's scripts, one small change at a time, and tells which changes no test notices.
//
//   node mutants.mjs FOLDER [SEED] [COUNT]
//
// FOLDER is where `run.sh` has written pages and fetched its libraries; COUNT changes (80), the same for the same SEED (1). The
// checker of types and the tests without a browser look first, then those in the browser, on pages whose script is changed alike. With
// ALONE=1 the browser is left out, whose tests need a quiet machine.

import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cpSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const [folder, seed = 1, count = 80] = process.argv.slice(2).map((word, at) => (at ? Number(word) : resolve(word)));
const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, '../../..');
const { parse } = createRequire(join(folder, 'here.js'))('acorn');

/** In the order in which a page has them; see `SCRIPTS` in src/page/write.rs. */
const SCRIPTS = [
  'plan', 'strokes', 'clock', 'sound', 'lights', 'faces', 'face', 'view', 'choice', 'log', 'street', 'taps', 'hands', 'player', 'main',
];

/** What each operator becomes. */
const OTHER = {
  ...{ '<': '<=', '<=': '<', '>': '>=', '>=': '>', '===': '!==', '!==': '===', '&&': '||', '||': '&&', '??': '&&' },
  ...{ '+': '-', '-': '+', '*': '/', '/': '*', '%': '*', '+=': '-=', '-=': '+=', '++': '--', '--': '++' },
};

/** Every change of a script, as the piece of text that is replaced. */
function changes(script, text) {
  const found = [];
  const change = (start, end, by) => found.push({ script, start, end, by });
  const between = (left, right, operator) => {
    const at = text.indexOf(operator, left.end);
    if (at >= 0 && at < right.start && OTHER[operator]) change(at, at + operator.length, OTHER[operator]);
  };
  const walk = (node) => {
    switch (node.type) {
      case 'BinaryExpression':
      case 'LogicalExpression':
      case 'AssignmentExpression':
        between(node.left, node.right, node.operator);
        break;
      case 'UpdateExpression':
        change(node.prefix ? node.start : node.end - 2, node.prefix ? node.start + 2 : node.end, OTHER[node.operator]);
        break;
      case 'UnaryExpression':
        if (node.operator === '!') change(node.start, node.start + 1, '');
        break;
      case 'IfStatement':
      case 'WhileStatement':
      case 'ConditionalExpression':
        change(node.test.start, node.test.end, `!(${text.slice(node.test.start, node.test.end)})`);
        break;
      case 'ExpressionStatement':
        if (node.expression.type === 'CallExpression' || node.expression.type === 'AssignmentExpression')
          change(node.start, node.end, ';');
        break;
      case 'Literal':
        if (typeof node.value === 'number') change(node.start, node.end, String(node.value + 1));
        if (typeof node.value === 'boolean') change(node.start, node.end, String(!node.value));
        break;
    }
    for (const value of Object.values(node))
      for (const child of Array.isArray(value) ? value : [value]) if (typeof child?.type === 'string') walk(child);
  };
  for (const node of parse(text, { ecmaVersion: 'latest', sourceType: 'module' }).body)
    if (node.type !== 'ImportDeclaration') walk(node);
  return found;
}

/** Numbers from 0 to 1 that depend on the seed alone (a linear congruential generator; Numerical Recipes, from memory). */
function* numbers(state) {
  for (;;) yield (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 32;
}

/** The script of a page, as `script` in src/page/write.rs puts it together: without comments that have lines of their own. */
function whole(texts) {
  const out = [];
  for (const name of SCRIPTS) {
    let within = false;
    for (const line of texts[name].replace(/\n$/, '').split('\n').filter((line) => !line.startsWith('import '))) {
      const bare = line.trim();
      const begins = bare.startsWith('/**') && [-1, bare.length - 2].includes(bare.indexOf('*/'));
      if (begins || within) within = !bare.endsWith('*/');
      else if (bare !== '' && !bare.startsWith('//')) out.push(`${line.replace(/^export /, '')}\n`);
    }
  }
  return `'use strict';\n(() => {\n${out.join('')}})();\n`;
}

/** The word that a page's policy knows its script by. */
const known = (script) => `'sha256-${createHash('sha256').update(script).digest('base64')}'`;

const original = Object.fromEntries(SCRIPTS.map((name) => [name, readFileSync(join(root, `src/page/${name}.js`), 'utf8')]));
const every = SCRIPTS.flatMap((name) => changes(name, original[name]));
const chance = numbers(seed);
const drawn = [];
while (drawn.length < count && every.length) drawn.push(...every.splice(Math.floor(chance.next().value * every.length), 1));

// A tree in which only the scripts and their tests are, to be changed.
const tree = join(folder, 'mutants/tree');
const changedPages = join(folder, 'mutants/pages');
rmSync(join(folder, 'mutants'), { recursive: true, force: true });
mkdirSync(tree, { recursive: true });
cpSync(here, join(tree, 'tests/outside/page'), { recursive: true });
cpSync(join(root, 'src/page'), join(tree, 'src/page'), { recursive: true });
cpSync(join(folder, 'pages'), changedPages, { recursive: true });
const pages = readdirSync(changedPages, { recursive: true }).filter((name) => name.endsWith('.html'));
const written = new Map(pages.map((name) => [name, readFileSync(join(changedPages, name), 'utf8')]));

const tests = readdirSync(here).filter((name) => name.endsWith('.test.mjs'));
const inBrowser = (name) => /from '\.\/browser\.mjs'/.test(readFileSync(join(here, name), 'utf8'));
const [alone, shown] = [tests.filter((name) => !inBrowser(name)), process.env.ALONE ? [] : tests.filter(inBrowser)];

/** Whether a test fails. A change may make it run for ever. */
function fails(name) {
  const run = spawnSync('node', ['--test', join(tree, 'tests/outside/page', name)], {
    env: { ...process.env, PAGES: changedPages, PAGE_MODULES: folder },
    stdio: 'ignore',
    timeout: 300_000,
    killSignal: 'SIGKILL',
  });
  return run.status !== 0;
}

/** Which test notices what is in the tree. */
function noticed() {
  const types = ['--project', join(tree, 'tests/outside/page/tsconfig.json')];
  if (spawnSync(join(folder, 'node_modules/.bin/tsc'), types, { stdio: 'ignore' }).status !== 0) return 'types';
  return alone.find(fails) ?? shown.find(fails);
}

/** Puts the scripts into the tree and into every page. */
function put(texts) {
  for (const name of SCRIPTS) writeFileSync(join(tree, `src/page/${name}.js`), texts[name]);
  const [was, is] = [whole(original), whole(texts)];
  for (const [name, text] of written) {
    if (!text.includes(was) && text.includes('<script>')) throw new Error(`${name} has another script than src/page`);
    writeFileSync(join(changedPages, name), text.replace(was, () => is).replaceAll(known(was), () => known(is)));
  }
}

put(original);
const before = noticed();
if (before) throw new Error(`${before} fails before anything is changed`);
const missed = [];
let [caught, unviable] = [0, 0];
for (const { script, start, end, by } of drawn) {
  const text = original[script];
  const line = text.slice(0, start).split('\n').length;
  const what = `${script}.js:${line}: ${text.slice(start, end).replace(/\s+/g, ' ').slice(0, 60)} -> ${by.replace(/\s+/g, ' ').slice(0, 60)}`;
  put({ ...original, [script]: text.slice(0, start) + by + text.slice(end) });
  const test = noticed();
  if (test === 'types') unviable++;
  else if (test) caught++;
  else missed.push(what);
  console.log(`${test ?? 'MISSED'}  ${what}`);
}
console.log(`\nseed ${seed}: ${caught} of ${caught + missed.length} noticed (${unviable} more by their types)\n${missed.join('\n')}`);
