#!/usr/bin/env python3
"""Tunes that ship with music21, brought in by panfold and rendered, must have the notes that music21 reads.

    import_corpus.py PANFOLD WORKDIR BAND [--only SET] [--limit N]

music21 (PyPI) carries the music and writes each tune as MusicXML and as MIDI; all of it is out of copyright, none of it is
kept here. Sets: oneills (tunes of one line, with repeats and endings), chorales (four parts), misc (reels with chord
symbols, a song, a rag for piano). Each file goes through `panfold import` and `panfold render --midi`, and is then read
back by mido. Expected are

  from MusicXML: music21's own reading of the file, its repeats played out by music21, ties put together, grace notes left
                 out (panfold tells that it leaves them out), staccato half as long (as panfold plays it);
  from MIDI:     mido's reading of the file itself.

Four things of music21's are put right first:
- Where a second repeat ends that has no start of its own, music21 goes back to the very beginning and plays A A B A A B;
  players go back to the end of the repeat before and play A A B B (any handbook of notation), so the start is written in.
- Where only the first of two endings is bracketed, music21 does not repeat at all; the second bracket is written in.
- Where music21 can't play repeats out at all, the signs are taken out of the file, so that its notes are still compared; how
  often that is needed is printed.
- Where a grace note stands right after the sign of a triplet in ABC, music21 counts it as one of the three, and the measure
  gets longer than its meter by a sixth of a quarter. The grace note is moved before the sign; how often is printed.
The first two are put right in what is expected alone: panfold gets the file as music21 writes it.

Pitches, onsets, and durations must be the same, note for note, within the rounding of a tick. Prints how many pass and
why each of the others does not; ends with 1 when fewer than 98 of 100 of a format pass.
"""
import argparse
import collections
import fractions
import json
import re
import shutil
import subprocess
import sys
import time
import warnings
from multiprocessing import Pool
from pathlib import Path

warnings.simplefilter('ignore')
import mido
from music21 import articulations, bar, converter, corpus, harmony, note, repeat, spanner, stream

FLOOR = 0.98
TICKS = 960  # panfold's ticks a quarter
CORPUS = Path(corpus.__file__).parent
GRACE_IN_TRIPLET = re.compile(r'(\(3)(\{[^}]*\})')
SHORT = (articulations.Staccato, articulations.Staccatissimo, articulations.Spiccato)


def abc_tunes(path):
    """(number, text) of every tune of an ABC file."""
    text = path.read_text(encoding='utf-8', errors='replace')
    for piece in re.split(r'(?m)^(?=X:)', text):
        if found := re.match(r'X:\s*(\S+)', piece):
            yield found.group(1), piece


def tunes(name, limit):
    """(identifier, kind, what to parse) of a set, spread evenly over all that music21 has."""
    found = []
    if name == 'oneills':
        for path in sorted((CORPUS / 'oneills1850').glob('*.abc')):
            found += [(f'{path.stem}-x{x}-{i}', 'abc', text) for i, (x, text) in enumerate(abc_tunes(path))]
        limit = limit or 500
    elif name == 'chorales':
        names = dict.fromkeys(corpus.chorales.Iterator(numberingSystem='riemenschneider', returnType='filename'))
        found = [(re.sub(r'\W+', '_', one), 'corpus', one) for one in names]
        limit = limit or 105
    else:
        for x, text in abc_tunes(CORPUS / 'nottingham-dataset' / 'reelsa-c.abc'):
            found.append((f'reelsa-c-x{x}-{len(found)}', 'abc', text))
        for path in ('liliuokalani/aloha_oe.mxl', 'joplin/maple_leaf_rag.mxl'):
            found.append((Path(path).stem, 'file', str(CORPUS / path)))
        limit = limit or len(found)
    step = max(1, len(found) // limit)
    return found[::step][:limit] if name != 'misc' else found[-limit:]


def write(job):
    """Writes a tune as MusicXML and MIDI; gives what music21 could not do."""
    folder, (identifier, kind, what) = job
    try:
        if kind == 'abc':
            what = GRACE_IN_TRIPLET.sub(r'\2\1', what)
            score = converter.parse(what, format='abc', forceSource=True)
            score = score.scores[0] if isinstance(score, stream.Opus) else score
        else:
            score = corpus.parse(what, forceSource=True) if kind == 'corpus' else converter.parse(what, forceSource=True)
        xml = folder / f'{identifier}.musicxml'
        score.write('musicxml', fp=xml)
    except Exception as error:  # music21 raises many kinds
        return 'unwritten', f'{identifier}: {type(error).__name__}: {error}'
    trouble = None
    try:
        for part in parts_of(converter.parse(xml, forceSource=True, format='musicxml')):
            played_out(part)
    except Exception as error:
        without_repeats(score)
        score.write('musicxml', fp=xml)
        trouble = 'unrepeated', identifier
    for symbol in list(score.recurse().getElementsByClass(harmony.Harmony)):
        symbol.activeSite.remove(symbol)
    try:
        score.write('midi', fp=folder / f'{identifier}.mid')
    except Exception:
        # music21 could not play the repeats out: the same notes without measures have none.
        plain = stream.Score()
        for part in parts_of(score):
            line = stream.Part()
            for onset, length, pitch in events(part):
                line.insert(onset, note.Note(pitch, quarterLength=length))
            plain.insert(0, line)
        plain.write('midi', fp=folder / f'{identifier}.mid')
    return trouble


def parts_of(score):
    return list(score.parts) if isinstance(score, stream.Score) else [score]


def events(part, short=False):
    """(onset, length, key) of every note of a part, ties put together where they join notes of one pitch."""
    flat = part.flatten()
    found, waiting = [], {}
    for one in flat.notes:
        if isinstance(one, harmony.Harmony) or one.duration.isGrace:
            continue
        length = fractions.Fraction(one.duration.quarterLength)
        is_short = short and any(isinstance(mark, SHORT) for mark in one.articulations)
        onset = fractions.Fraction(one.getOffsetInHierarchy(flat))
        for single in getattr(one, 'notes', [one]):
            key, tie = single.pitch.midi, single.tie.type if single.tie else None
            number = waiting.pop((key, onset), None) if tie in ('stop', 'continue') else None
            if number is None:
                number = len(found)
                found.append((onset, length, key, is_short))
            else:
                first = found[number]
                found[number] = (first[0], onset + length - first[0], key, first[3])
            if tie in ('start', 'continue'):
                waiting[key, onset + length] = number
    return [(onset, length / 2 if is_short else length, key) for onset, length, key, is_short in found]


def ticks(onset, length):
    """As panfold writes them: both ends rounded to a tick."""
    at = (fractions.Fraction(onset) * TICKS + fractions.Fraction(1, 2)).__floor__()
    end = (fractions.Fraction(onset + length) * TICKS + fractions.Fraction(1, 2)).__floor__()
    return at, max(end - at, 1)


def has_repeats(part):
    signs = (repeat.RepeatMark, repeat.RepeatExpression, spanner.RepeatBracket)
    return any(isinstance(one, signs) for one in part.recurse())


def write_second_endings(part):
    """Brackets the measure after a first ending that ends its repeat, if it has no bracket."""
    measures = list(part.getElementsByClass(stream.Measure))
    brackets = list(part.recurse().getElementsByClass(spanner.RepeatBracket))
    bracketed = {id(one) for bracket in brackets for one in bracket.getSpannedElements()}
    for bracket in brackets:
        last = max(measures.index(one) for one in bracket.getSpannedElements())
        following = measures[last + 1:last + 2]
        if bracket.number == '1' and following and id(following[0]) not in bracketed:
            part.insert(0, spanner.RepeatBracket(following, number=2))


def write_starts(part):
    """Writes the start of a repeat where one ends that has none, after the end of the repeat before."""
    measures = list(part.getElementsByClass(stream.Measure))
    for before, measure in zip(measures, measures[1:]):
        # An end that stands at the left of a measure ends the repeat with the measure before.
        if isinstance(measure.leftBarline, bar.Repeat) and measure.leftBarline.direction == 'end':
            before.rightBarline, measure.leftBarline = bar.Repeat('end'), None
    bracketed = {id(one) for b in part.recurse().getElementsByClass(spanner.RepeatBracket) for one in b.getSpannedElements()}
    is_repeat = lambda line, direction: isinstance(line, bar.Repeat) and line.direction == direction
    known, after = True, None
    for number, measure in enumerate(measures):
        if is_repeat(measure.leftBarline, 'start'):
            known = True
        if is_repeat(measure.rightBarline, 'end'):
            ending = id(measure) in bracketed
            if not known and not (ending and after is not None and number < after):
                measures[after].leftBarline = bar.Repeat('start')
            known, after = False, number + 1
            while after < len(measures) and ending and id(measures[after]) in bracketed:
                after += 1


def played_out(part):
    if not has_repeats(part):
        return part
    write_second_endings(part)
    write_starts(part)
    return part.expandRepeats()


def without_repeats(score):
    """Takes all signs of repeats out of a score."""
    for one in list(score.recurse()):
        if isinstance(one, (repeat.RepeatExpression, spanner.RepeatBracket)):
            one.activeSite.remove(one)
        elif isinstance(one, stream.Measure):
            for side in ('leftBarline', 'rightBarline'):
                if isinstance(getattr(one, side), bar.Repeat):
                    setattr(one, side, None)


def expected_xml(path):
    """The notes of a MusicXML file as music21 reads and repeats them."""
    score = converter.parse(path, forceSource=True, format='musicxml')
    notes = []
    for part in parts_of(score):
        notes += [(*ticks(onset, length), key) for onset, length, key in events(played_out(part), short=True)]
    return notes


def midi_notes(path):
    """(onset, length, key) of every note of a MIDI file in panfold's ticks, as mido reads it; and its channel-10 notes."""
    file = mido.MidiFile(path)
    scale = fractions.Fraction(1, file.ticks_per_beat)
    notes = []
    for track in file.tracks:
        now, touches = 0, collections.defaultdict(list)
        for message in track:
            now += message.time
            if message.type in ('note_on', 'note_off'):
                is_struck = message.type == 'note_on' and message.velocity
                touches[message.channel, message.note].append(('+' if is_struck else '-', now))
        for (_, key), of_key in touches.items():
            sounding = collections.deque()
            for sign, at in without_ornaments(of_key):
                if sign == '+':
                    sounding.append(at)
                elif sounding:
                    start = sounding.popleft()
                    notes.append((*ticks(start * scale, (at - start) * scale), key))
            # What is never released lasts to the end of the track.
            notes += [(*ticks(start * scale, (now - start) * scale), key) for start in sounding]
    return notes


def without_ornaments(touches):
    """The strokes and releases of a key without ornaments: music21 writes the release of a grace note before its stroke.

    Seen from a moment when the key does not sound, these are pairs of a release and a stroke of one tick, after which the key is
    struck again or never touched: else the last stroke would be a note, released by what follows.
    """
    left, sounds, at = [], 0, 0
    while at < len(touches):
        end = at
        while sounds == 0 and [sign for sign, _ in touches[end:end + 2]] == ['-', '+'] and touches[end][1] == touches[end + 1][1]:
            end += 2
        if end > at and (end == len(touches) or touches[end][0] == '+'):
            at = end
            continue
        sign, _ = touches[at]
        sounds = max(0, sounds + (1 if sign == '+' else -1))
        left.append(touches[at])
        at += 1
    return left


def compare(job):
    """'' when the rendered tune has the notes that are expected, else why not."""
    source, rendered = job
    try:
        expected = expected_xml(source) if source.suffix == '.musicxml' else midi_notes(source)
    except Exception as error:
        return f'music21 can not read it: {type(error).__name__}: {error}'
    if not rendered.exists():
        return 'panfold wrote nothing'
    want, have = collections.Counter(expected), collections.Counter(midi_notes(rendered))
    if want == have and want:
        return ''
    lacking, more = sorted((want - have).elements()), sorted((have - want).elements())
    show = lambda notes: [(round(at / TICKS, 3), round(length / TICKS, 3), key) for at, length, key in notes[:3]]
    return f'of {sum(want.values())} notes {len(lacking)} are lacking {show(lacking)}, {len(more)} too many {show(more)}'


def main():
    options = argparse.ArgumentParser()
    options.add_argument('panfold')
    options.add_argument('folder', type=Path)
    options.add_argument('band')
    options.add_argument('--only')
    options.add_argument('--limit', type=int)
    options.add_argument('--keep', action='store_true', help='take the files that a run before has written')
    given = options.parse_args()
    passed, asked = collections.Counter(), collections.Counter()
    with Pool(2) as pool:
        for name in ['oneills', 'chorales', 'misc']:
            if given.only not in (None, name):
                continue
            folder = given.folder / name
            if not given.keep:
                shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir(parents=True, exist_ok=True)
            if not given.keep:
                jobs = [(folder, tune) for tune in tunes(name, given.limit)]
                moved = sum(kind == 'abc' and bool(GRACE_IN_TRIPLET.search(what)) for _, (_, kind, what) in jobs)
                if moved:
                    print(f'{name}: {moved} tunes with grace notes moved before the triplets that they lead into')
                trouble = [one for one in pool.map(write, jobs, chunksize=4) if one]
                for one in (what for kind, what in trouble if kind == 'unwritten'):
                    print(f'  music21 can not write {one}')
                taken = sum(kind == 'unrepeated' for kind, _ in trouble)
                if taken:
                    print(f'{name}: {taken} tunes without their repeats, which music21 can not play out')
            for ending in ['.musicxml', '.mid']:
                good, all_of_it = check(given, pool, name, sorted(folder.glob(f'*{ending}')), folder / ending[1:])
                passed[ending] += good
                asked[ending] += all_of_it
    for ending in asked:
        print(f'{ending}: {passed[ending]} of {asked[ending]} have the same notes')
    sys.exit(any(passed[ending] < max(1, FLOOR * asked[ending]) for ending in asked))


def check(given, pool, name, sources, target):
    """Brings files in, renders them, compares; prints how many pass."""
    shutil.rmtree(target, ignore_errors=True)
    command = [given.panfold, 'import', *map(str, sources), '-o', str(target), '--band', given.band, '--keep-all', '--json']
    begin = time.monotonic()
    done = subprocess.run(command, capture_output=True, text=True)
    seconds = time.monotonic() - begin
    wrote = {tune['file']: Path(tune['output']) for tune in json.loads(done.stdout)['tunes']}
    pairs = []
    for source in sources:
        tune = wrote.get(str(source), target / 'nothing.tune')
        rendered = tune.with_suffix('.mid')
        command = [given.panfold, 'render', str(tune), '--midi', str(rendered)]
        answer = subprocess.run(command, capture_output=True, text=True)
        if answer.returncode:
            print(f'  {source.name}: {answer.stderr.strip()[:300]}')
        pairs.append((source, rendered))
    reasons = pool.map(compare, pairs, chunksize=4)
    bad = [(source, why) for (source, _), why in zip(pairs, reasons) if why]
    for source, why in bad:
        print(f'  {source.name}: {why}')
    good = len(pairs) - len(bad)
    print(f'{name} from {target.name}: {good} of {len(pairs)} have the same notes; brought in within {seconds:.2f} s', flush=True)
    return good, len(pairs)


if __name__ == '__main__':
    sys.setrecursionlimit(5000)
    main()
