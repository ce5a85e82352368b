"""Does mido, an independent reader, find in a MIDI file what the program's JSON says is played?

Usage: midi_agrees.py FILE.mid FILE.json

Every stroke: voice, key, velocity, onset and end within half a tick; seconds of every onset; tempos, bar lines, keys,
sections, words; names, channels and programs. Prints what differs and fails, or says how much agrees.
"""

import json
import sys
from fractions import Fraction

import mido

HALF_A_TICK = Fraction(1, 2)
STEEL_DRUMS = 114  # General MIDI level 1: program 115, counted from 1
PERCUSSION = 9  # General MIDI level 1: channel 10, counted from 1


def timed(track):
    """The messages of a track with their ticks from the start."""
    now = 0
    for message in track:
        now += message.time
        yield now, message


def found_notes(track, wrong):
    """Onset, key, velocity and end of every note of a track, in ticks."""
    notes, sounding = [], {}
    for tick, message in timed(track):
        if message.type == "note_on" and message.velocity > 0:
            if message.note in sounding:
                wrong.append(f"{track.name}: key {message.note} is struck at tick {tick} while it sounds")
            sounding[message.note] = (tick, message.velocity)
        elif message.type in ("note_on", "note_off"):
            if message.note not in sounding:
                wrong.append(f"{track.name}: key {message.note} ends at tick {tick} without a beginning")
                continue
            start, velocity = sounding.pop(message.note)
            notes.append((start, message.note, velocity, tick))
    for key in sounding:
        wrong.append(f"{track.name}: key {key} never ends")
    return sorted(notes)


def expected_notes(strokes, ticks):
    """The same from the JSON's strokes, as exact fractions of ticks; strokes of one key at one moment are one note."""
    notes = {}
    for stroke in strokes:
        at = Fraction(stroke["at"]) * ticks
        end = at + Fraction(stroke["length"]) * ticks
        place = (at, stroke["key"])
        velocity, before = notes.get(place, (0, end))
        notes[place] = (max(velocity, stroke["velocity"]), max(before, end))
    expected, later = [], {}
    # From the last to the first, so that each note knows when its key is struck again.
    for (at, key), (velocity, end) in sorted(notes.items(), reverse=True):
        expected.append((at, key, velocity, min(end, later.get(key, end))))
        later[key] = at
    return sorted(expected)


def compare_notes(name, found, expected, wrong):
    if len(found) != len(expected):
        wrong.append(f"{name}: {len(found)} notes in the file, {len(expected)} in the JSON")
        return
    found.sort(key=lambda note: (note[1], note[0]))
    expected.sort(key=lambda note: (note[1], note[0]))
    for here, there in zip(found, expected):
        same = here[1:3] == there[1:3]
        onset = abs(here[0] - there[0]) <= HALF_A_TICK
        end = abs(here[3] - there[3]) <= HALF_A_TICK or here[3] == here[0] + 1
        if not (same and onset and end):
            wrong.append(f"{name}: {here} in the file, {tuple(map(str, there))} in the JSON")


def compare_voice(voice, track, strokes, ticks, wrong):
    name = voice["name"]
    if track.name != name:
        wrong.append(f"track `{track.name}` in the file, voice `{name}` in the JSON")
    channels = {message.channel for message in track if not message.is_meta}
    if channels - {voice["channel"] - 1}:
        wrong.append(f"{name}: channels {channels} in the file, {voice['channel'] - 1} in the JSON")
    programs = [message.program for message in track if message.type == "program_change"]
    if voice["percussion"]:
        if voice["channel"] - 1 != PERCUSSION or programs:
            wrong.append(f"{name}: percussion on channel {voice['channel']} with programs {programs}")
    elif programs != [STEEL_DRUMS] or voice["channel"] - 1 == PERCUSSION:
        wrong.append(f"{name}: programs {programs} on channel {voice['channel']}")
    compare_notes(name, found_notes(track, wrong), expected_notes(strokes, ticks), wrong)


def compare_list(what, found, expected, wrong):
    if found != expected:
        difference = next(((a, b) for a, b in zip(found, expected) if a != b), (len(found), len(expected)))
        wrong.append(f"{what}: {difference[0]} in the file, {difference[1]} in the JSON")


def nearest(exact, scale):
    """The whole number nearest to an exact one times a scale, halves up."""
    return (2 * Fraction(exact) * scale + 1) // 2


def bar_lines(metas, end, ticks):
    """Where a reader of the file's time signatures draws bar lines."""
    signatures = [(tick, m) for tick, m in metas if m.type == "time_signature"]
    lines = []
    for (tick, meter), following in zip(signatures, [tick for tick, _ in signatures[1:]] + [end]):
        bar = Fraction(4 * meter.numerator * ticks, meter.denominator)
        while tick < following:
            lines.append(round(tick))
            tick += bar
    return lines


def compare_first_track(track, document, ticks, wrong):
    metas = list(timed(track))
    if track.name != document["title"]:
        wrong.append(f"title `{track.name}` in the file, `{document['title']}` in the JSON")
    tempos = [(tick, m.tempo) for tick, m in metas if m.type == "set_tempo"]
    microseconds = [
        (nearest(t["at"], ticks), nearest(Fraction(60_000_000) / Fraction(t["quarters_a_minute"]), 1))
        for t in document["tempos"]
    ]
    compare_list("tempos", tempos, microseconds, wrong)
    lines = set(bar_lines(metas, nearest(document["end"], ticks), ticks))
    astray = [bar["at"] for bar in document["bars"] if nearest(bar["at"], ticks) not in lines]
    if astray:
        wrong.append(f"the file has no bar line at quarters {astray[:5]}, where the JSON has bars")
    keys = [(tick, m.key) for tick, m in metas if m.type == "key_signature"]
    compare_list("keys", keys, [(nearest(k["at"], ticks), k["is"]) for k in document["keys"]], wrong)
    words = [(tick, m.text) for tick, m in metas if m.type == "lyrics"]
    compare_list("words", words, [(nearest(w["at"], ticks), w["is"]) for w in document["words"]], wrong)
    markers = [(tick, m.text.split(" ")[0]) for tick, m in metas if m.type == "marker" and m.text != "count-in"]
    compare_list("sections", markers, [(nearest(s["at"], ticks), s["name"]) for s in document["sections"]], wrong)


def compare_seconds(file, document, ticks, wrong):
    """The seconds of every onset, by the file's tempos, against the JSON's."""
    tempos = [(tick, m.tempo) for tick, m in timed(file.tracks[0]) if m.type == "set_tempo"]
    seconds, now, tempo, passed = 0.0, 0, 500_000, 0
    for stroke in sorted(document["strokes"], key=lambda stroke: stroke["seconds"]):
        tick = nearest(stroke["at"], ticks)
        while passed < len(tempos) and tempos[passed][0] <= tick:
            seconds += mido.tick2second(tempos[passed][0] - now, ticks, tempo)
            now, tempo = tempos[passed]
            passed += 1
        there = seconds + mido.tick2second(tick - now, ticks, tempo)
        # Half a tick, and half a microsecond for each quarter so far, since tempos are whole microseconds.
        allowed = 0.5 * tempo / ticks / 1e6 + 0.5e-6 * (tick / ticks + 1)
        if abs(there - stroke["seconds"]) > allowed:
            wrong.append(f"quarter {stroke['at']} is at {there} s in the file, at {stroke['seconds']} s in the JSON")
            return


def main(midi_path, json_path):
    with open(json_path, encoding="utf-8") as text:
        document = json.load(text)
    file = mido.MidiFile(midi_path, charset="utf-8")
    ticks, wrong = file.ticks_per_beat, []
    if file.type != 1 or len(file.tracks) != 1 + len(document["voices"]):
        sys.exit(f"{midi_path}: format {file.type}, {len(file.tracks)} tracks for {len(document['voices'])} voices")
    compare_first_track(file.tracks[0], document, ticks, wrong)
    for number, (voice, track) in enumerate(zip(document["voices"], file.tracks[1:])):
        strokes = [stroke for stroke in document["strokes"] if stroke["voice"] == number]
        compare_voice(voice, track, strokes, ticks, wrong)
    compare_seconds(file, document, ticks, wrong)
    if wrong:
        sys.exit("\n".join(f"{midi_path}: {line}" for line in wrong[:20]))
    if not document["strokes"]:
        sys.exit(f"{midi_path}: nothing is played")
    print(f"{midi_path}: {len(document['strokes'])} strokes of {len(document['voices'])} voices agree")


main(*sys.argv[1:])
