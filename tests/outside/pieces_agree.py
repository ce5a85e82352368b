#!/usr/bin/env python3
"""Pieces of several parts that nobody wrote for pans, brought onto three bands, fitted, and looked at by music21 and mido.

    pieces_agree.py PANFOLD WORKDIR BAND...

The pieces are in music21's own corpus (PyPI; out of copyright, none of them kept here): chorales, madrigals, quartets, songs. music21
writes each as MusicXML; `panfold import --keep-all` brings it onto each band. Then must hold:

- every pitch and onset is music21's own, its repeats played out (see `import_corpus.py`), but for pieces in EXCEPT;
- no player strikes three notes at once in a part where another pan of the band is idle that has the part's notes;
- after `panfold fit --write`, no part lacks a note that its pan has in another octave;
- over all pieces, neighbours cross after the fit at most a fifth more often than in the score;
- a piece is brought in within 0.3 s.

Prints the figures of each band; ends with 1 where one of these fails.
"""
import argparse
import collections
import json
import shutil
import subprocess
import sys
import time
from multiprocessing import Pool
from pathlib import Path

import import_corpus
from music21 import converter, corpus

CHORALES = '''1.6 103.6 110.7 113.8 117.4 120.8-a 124.6 128.5 135.6 14.5 145-a 149.7 153.9 156.6 16.6 165.6 17.7 175.7 178.7
    180.7 187.7 190.7 197.10 20.11 227.11 24.6 244.25 244.37 244.54 245.15 245.28 245.5 248.23-s 248.35-3c 248.5 248.64-s 250
    254 258 261 265 269 272 276 28.6 283 287 290 294 298 300 304 308 311 315 319 322 326 33.6 333 337 341 345 349 353 357 36.8-2
    363 367 370 374 378 381 385 389 392 396 4.8 400 404 408 411 415 419 422 426 43.11 433 437 46.6 5.7 57.8 62.6 65.2 69.6-a 72.6
    78.7 80.8 88.7'''.split()
PIECES = [
    *(f'bach/bwv{one}' for one in CHORALES),
    *(f'monteverdi/madrigal.{book}.{one}' for book, last in ((3, 16), (4, 14)) for one in range(1, last + 1)),
    *(f'haydn/opus1no1/movement{one}' for one in range(1, 6)),
    *(f'mozart/{one}' for one in ('k80/movement1', 'k80/movement3', 'k155/movement2', 'k156/movement2', 'k156/movement4')),
    *('mozart/k156/movement1', 'beethoven/opus18no4', 'beethoven/opus59no1/movement3'),
    *('schubert/Lindenbaum', 'schumann_robert/dichterliebe_no2', 'verdi/laDonnaEMobile', 'ciconia/quod_jactatur'),
    *('luca/gloria', 'lusitano/allor_che_ignuda', 'cpebach/h186', 'joplin/maple_leaf_rag'),
]
# Pieces whose notes are not compared, each with its reason.
EXCEPT = {}
SECONDS = 0.3
MORE = 1.2
CORPUS = Path(corpus.__file__).parent


def write(job):
    """Writes a piece as MusicXML; what music21 can't play out has its repeats taken out."""
    folder, name = job
    path = next(path for path in map(CORPUS.__truediv__, (f'{name}.{end}' for end in ('mxl', 'xml'))) if path.exists())
    target = folder / f'{name.replace("/", "-")}.musicxml'
    score = converter.parse(path, forceSource=True)
    score.write('musicxml', fp=target)
    try:
        for part in import_corpus.parts_of(converter.parse(target, forceSource=True, format='musicxml')):
            import_corpus.played_out(part)
    except Exception:  # music21 raises many kinds
        import_corpus.without_repeats(score)
        score.write('musicxml', fp=target)
    return target


def run(*command):
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True)
    if done.returncode not in (0, 1):
        raise RuntimeError(f'{" ".join(map(str, command))}: {done.stderr[:500]}')
    return done.stdout


def crossings(parts, order):
    """At how many strokes a part lies above its upper neighbour, and how many meet it."""
    crossed = met = 0
    for upper, lower in zip(order, order[1:]):
        above = sorted(parts[upper])
        at = 0
        for start, _, key in sorted(parts[lower]):
            while at < len(above) and above[at][1] <= start:
                at += 1
            now = [other for begin, end, other in above[at:at + 6] if begin <= start < end]
            if now:
                met += 1
                crossed += key > max(now)
    return crossed, met


class Band:
    def __init__(self, panfold, path):
        self.path, self.name = path, Path(path).stem
        described = json.loads(run(panfold, 'pans', path, '--json'))['pans']
        self.notes = {pan['name']: {note['key'] for note in pan['notes']} for pan in described}


def voices(panfold, tune):
    """By the number of a part on pans: its name, and its strokes as (start, end, key) in seconds, the form played out."""
    played = json.loads(run(panfold, 'render', tune, '--json'))
    parts = {number: (voice['name'], []) for number, voice in enumerate(played['voices']) if not voice['percussion']}
    for stroke in played['strokes']:
        if stroke['voice'] in parts:
            start = stroke['seconds']
            parts[stroke['voice']][1].append((start, start + stroke['lasts'], stroke['key']))
    return {number: part for number, part in parts.items() if part[1]}


def look(job):
    """What is found out about a piece on a band."""
    panfold, band, source, tune = job
    found = {'wrong': []}
    rendered = tune.with_suffix('.mid')
    run(panfold, 'render', tune, '--midi', rendered)
    want = collections.Counter((at, key) for at, _, key in import_corpus.expected_xml(source))
    have = collections.Counter((at, key) for at, _, key in import_corpus.midi_notes(rendered))
    if set(want) != set(have):
        more, lacking = sorted(set(have) - set(want)), sorted(set(want) - set(have))
        found['wrong'].append(f'{len(lacking)} onsets are lacking {lacking[:3]}, {len(more)} are too many {more[:3]}')
    written = voices(panfold, tune)
    mean = lambda number: -sum(key for _, _, key in written[number][1]) / len(written[number][1])
    order = sorted(written, key=mean)
    found['score'] = crossings({number: part[1] for number, part in written.items()}, order)

    told = json.loads(run(panfold, 'check', tune, '--json'))['tunes'][0]
    players = {part['name']: part['players'] for part in told['parts']}
    idle = set(band.notes) - {pan for of in players.values() for pan in of}
    keys = {name: {key for _, _, key in strokes} for name, strokes in written.values()}
    for finding in told['findings']:
        if finding['kind'] == 'one-player-two-parts' and idle:
            found['wrong'].append(f'{finding["message"]}, while {sorted(idle)} are idle')
        if finding['kind'] == 'too-many-notes':
            free = [pan for pan in idle if keys.get(finding['part'], {None}) <= band.notes[pan]]
            if free:
                found['wrong'].append(f'{finding["message"]} in {finding["part"]}, while {free} are idle')

    run(panfold, 'fit', tune, '--write')
    fitted = voices(panfold, tune)
    found['fitted'] = crossings({number: part[1] for number, part in fitted.items()}, order)
    found['missing'] = 0
    for name, strokes in fitted.values():
        for pan in players.get(name, []):
            has = band.notes.get(pan, set())
            lacking = [key for _, _, key in strokes if key not in has]
            found['missing'] += len(lacking)
            could = {key % 12 for key in lacking} & {key % 12 for key in has}
            if could:
                found['wrong'].append(f'{name} lacks notes on {pan} that it has in another octave: {sorted(could)}')
    return found


def main():
    options = argparse.ArgumentParser()
    options.add_argument('panfold')
    options.add_argument('folder', type=Path)
    options.add_argument('bands', nargs='+')
    options.add_argument('--limit', type=int)
    options.add_argument('--keep', action='store_true', help='take the files that a run before has written')
    given = options.parse_args()
    pieces = PIECES[:given.limit] if given.limit else PIECES
    sources = given.folder / 'sources'
    failed = False
    with Pool(2) as pool:
        if not given.keep:
            shutil.rmtree(sources, ignore_errors=True)
            sources.mkdir(parents=True)
            pool.map(write, [(sources, piece) for piece in pieces], chunksize=2)
        files = [sources / f'{piece.replace("/", "-")}.musicxml' for piece in pieces]
        for path in given.bands:
            band = Band(given.panfold, path)
            target = given.folder / band.name
            shutil.rmtree(target, ignore_errors=True)
            target.mkdir(parents=True)
            slow, jobs = [], []
            for source in files:
                tune = target / f'{source.stem}.tune'
                begin = time.monotonic()
                run(given.panfold, 'import', source, '-o', tune, '--band', band.path, '--keep-all')
                slow.append((time.monotonic() - begin, source.stem))
                jobs.append((given.panfold, band, source, tune))
            found = pool.map(look, jobs, chunksize=2)
            for source, one in zip(files, found):
                for wrong in one['wrong']:
                    is_known = source.stem in EXCEPT and wrong.split(' ', 1)[1].startswith('onsets')
                    failed |= not is_known
                    print(f'  {band.name}, {source.stem}: {wrong}{" (known: " + EXCEPT[source.stem] + ")" if is_known else ""}')
            share = lambda of: sum(one[of][0] for one in found) / max(1, sum(one[of][1] for one in found))
            worst = max(slow)
            print(f'{band.name}: {len(files)} pieces, {sum(one["missing"] for one in found)} strokes that no octave of their pan has, '
                  f'neighbours crossed at {share("score"):.2%} of strokes in the scores and {share("fitted"):.2%} fitted, '
                  f'slowest {worst[0]:.2f} s ({worst[1]})', flush=True)
            failed |= share('fitted') > MORE * share('score') or worst[0] > SECONDS
    sys.exit(failed)


if __name__ == '__main__':
    sys.setrecursionlimit(5000)
    main()
