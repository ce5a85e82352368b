#!/usr/bin/env python3
"""Melodies on the demo's lead: what a fit in any key can cure is cured.

    cure_melodies.py PANFOLD MUSICXML-FOLDER WORKDIR BAND [WANTED]

The melodies are those of O'Neill's Music of Ireland (1903, public domain) that music21 has written as MusicXML. Each is brought in
by `panfold import`, checked against the first pan of BAND alone, fitted by `panfold fit --key any --write`, and checked again.
After that no
note may be missing, unless `fit` has said which the pan lacks in every octave. A second fit must change nothing.
Prints how many needed nothing, how many were cured, and how many could not be; ends with 1 if any is neither.
"""
import collections
import json
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

NOTHING, CURED, LACKING = 'need nothing', 'are cured', 'have a note that the pan lacks in every octave, in every key'


def run(*words):
    return subprocess.run([str(word) for word in words], capture_output=True, text=True)


def first_pan(band):
    """The first pan of a band file, for every part on a lead."""
    text = Path(band).read_text()
    pan = '[[pan]]' + text.split('[[pan]]')[1]
    kept = [line for line in pan.splitlines() if not line.startswith('plays')]
    return 'name = "One pan"\n' + '\n'.join(kept) + '\n'


def one(panfold, tune):
    def missing():
        """What no pan has, and how many other errors there are: melodies may be too fast for two sticks too."""
        done = run(panfold, 'check', tune, '--json')
        assert done.returncode in (0, 1), done.stderr
        found = [f for f in json.loads(done.stdout)['tunes'][0]['findings'] if f['severity'] == 'error']
        notes = [f['message'] for f in found if f['kind'] == 'missing-note']
        others = {f['kind'] for f in found} - {'missing-note', 'too-fast'}
        assert not others, (tune.name, others)
        assert done.returncode == (1 if found else 0), tune.name
        return notes

    if not missing():
        return NOTHING
    fitted = run(panfold, 'fit', tune, '--key', 'any', '--write')
    left = missing()
    text = tune.read_text()
    again = run(panfold, 'fit', tune, '--write')
    if tune.read_text() != text:
        return f'wrong: {tune.name}: a second fit changed it'
    if not left:
        return CURED if fitted.returncode == 0 and again.returncode == 0 else f'wrong: {tune.name}: cured, and told as not'
    if fitted.returncode == 1 and re.search(r'there is no [A-G]', fitted.stdout):
        return LACKING
    return f'wrong: {tune.name}: {left[0]}'


def main():
    panfold, folder, work, band = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3]), sys.argv[4]
    wanted = int(sys.argv[5]) if len(sys.argv) > 5 else 500
    work.mkdir(parents=True, exist_ok=True)
    for old in work.glob('*.tune'):
        old.unlink()
    (work / 'one-pan.toml').write_text(first_pan(band))
    files = sorted(folder.glob('*.musicxml'))[:wanted]
    assert len(files) == wanted, f'{len(files)} melodies, {wanted} wanted'
    done = run(panfold, 'import', *files, '-o', work, '--band', work / 'one-pan.toml', '--json')
    tunes = sorted(work.glob('*.tune'))
    assert len(tunes) == wanted, f'{len(tunes)} of {wanted} came in: {done.stderr[:500]}'
    with ThreadPoolExecutor(2) as pool:
        ends = collections.Counter(pool.map(lambda tune: one(panfold, tune), tunes))
    for what in [NOTHING, CURED, LACKING, *sorted(set(ends) - {NOTHING, CURED, LACKING})]:
        print(f'{ends[what]:4d}  {what}')
    sys.exit(any(what.startswith('wrong') for what in ends))


main()
