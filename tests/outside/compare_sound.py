#!/usr/bin/env python3
"""Measures how panfold's pans sound beside the sampled steel pan of two sound fonts. Run by hand; it judges nothing.

    tests/outside/compare_sound.py PANFOLD [--font FILE]... [--keep FOLDER] [--json FILE]

A tune of single strokes, of eight strokes that are meant the same, and of a roll is written for a lead and for a
six-bass. panfold renders it, and FluidSynth plays panfold's MIDI file of it with each font: program 115 of General
MIDI, reverb and chorus off. Without --font these are TimGM6mb and FluidR3 GM, from Debian's packages timgm6mb-soundfont and
fluid-soundfont-gm. Prints Markdown, with a column for each.

What the fonts can tell, from what lies in them: TimGM6mb repeats a sixth of a second of one recording and lets an
envelope fade it. FluidR3 GM has four recordings, which stop after 0.2 to 0.6 s. In both, low notes are high ones played
slower, and force changes nothing but the level. So they say something about the attack, the partials and the first half
second of a lead, little about how it dies away, and nothing about basses, brightness or repeated strokes.

The libraries are those of requirements.txt.
"""

import argparse
import itertools
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
import soundfile
from scipy.signal import butter, fftconvolve, sosfilt

from onsets import onsets

FONTS = [Path("/usr/share/sounds/sf2") / name for name in ("TimGM6mb.sf2", "FluidR3_GM.sf2")]
NOTES = {"lead": ["C4", "G4", "C5", "G5", "C6"], "six-bass": ["C2", "G2"]}
SAME = {"lead": "G4", "six-bass": "G2"}  # the note that is struck eight times, and rolled
VELOCITIES = [40, 64, 90, 120]
SAME_VELOCITY, SAME_STROKES = 80, 8
MIDDLE = 90  # the velocity of what is shown for one only
MOMENTS = [0.05, 0.1, 0.25, 0.5, 1.0, 2.0]
LASTS = 3.0
MARKS = ["pp", "p", "mp", "mf", "f", "ff"]
LOWEST, STEP, ACCENT = 32, 16, 24  # velocity of pp, from mark to mark, and of an accent (panfold's own scale)
BAR = 4.0  # seconds, at the tempo below
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


# -- The strokes ------------------------------------------------------------------------------------------------------


def bars(note, velocity):
    """Two bars, of notes and of dynamics: silence, and a stroke of a velocity at the beginning of the second.

    A velocity between two marks lies on the way from one to the other, eight cells long; one above ff is an accent.
    """
    accent = ">" if velocity > LOWEST + STEP * 5 else ""
    mark, rest = divmod(velocity - (ACCENT if accent else 0) - LOWEST, STEP)
    cells = [MARKS[mark]] + ["-"] * 15
    if rest:
        begins = 8 - rest * 8 // STEP
        cells[begins], cells[begins + 8] = "<", MARKS[mark + 1]
    struck = f"| . . . . . . . . | {note}{accent} - - - - - - - "
    return struck, f"| {' '.join(cells[:8])} | {' '.join(cells[8:])} "


def write_tune(kind, folder):
    """The tune of a kind of pan, and what is struck in it: note and velocity of each stroke."""
    strokes = [(note, velocity) for note in NOTES[kind] for velocity in VELOCITIES]
    strokes += [(SAME[kind], SAME_VELOCITY)] * SAME_STROKES
    lines = ["title Strokes", "band band.toml", "meter 4/4", "tempo 60", "roll none", f"part pan on {kind}"]
    lines += ["form strokes loud"]
    # A track is brought to one loudness, and its peaks are held where that makes them too high. After the strokes comes
    # something loud, so that they lie far below and nothing is held.
    loud = "| " + " ".join([SAME[kind] + ">"] * 64) + " "
    lines += ["section strokes"]
    for note, velocity in strokes:
        struck, dynamics = bars(note, velocity)
        lines += [f"  dynamics {dynamics}|", f"  pan {struck}|", ""]
    lines += ["section loud", "  dynamics | ff " + "| - " * 9 + "|", f"  pan {loud * 10}|"]
    lines += ["section one-roll", "  dynamics | mf |", f"  pan | {SAME[kind]} ~ ~ ~ ~ ~ ~ ~ |"]
    path = folder / f"{kind}.tune"
    path.write_text("\n".join(lines) + "\n")
    return path, strokes


def write_band(folder):
    entry = '[[pan]]\nname = "A {}"\nlayout = "{}"\n'
    pans = [entry.format("lead", "lead-c"), entry.format("bass", "six-bass")]
    (folder / "band.toml").write_text('name = "Measured"\na4 = 440\n\n' + "\n".join(pans))


def run(*words):
    done = subprocess.run([str(word) for word in words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    if done.returncode:
        sys.exit(f"compare_sound: this failed: {' '.join(map(str, words))}\n{done.stdout[-1000:]}{done.stderr[-1000:]}")
    return done.stdout


def left_of(sound):
    """The left channel: the sides of one font differ a little, and could cancel each other if they were added."""
    samples, rate = soundfile.read(sound)
    return samples[:, 0], rate


def frequency(note):
    return 440 * 2 ** ((STEPS[note[0]] + 12 * int(note[-1]) - 57) / 12)


class Stroke:
    """One stroke alone: its samples from the onset on, and the silence before it."""

    def __init__(self, samples, rate, at, note, velocity):
        self.rate, self.note, self.velocity = rate, note, velocity
        start = int((at - 0.01) * rate)
        near = numpy.abs(samples[start : start + int(0.3 * rate)])
        # Where it first comes within 40 dB of its peak: the two programs do not begin at the same sample.
        onset = start + int(numpy.argmax(near > near.max() / 100))
        self.samples = samples[onset : onset + int(LASTS * rate)]
        self.before = samples[onset - int(0.6 * rate) : onset - int(0.1 * rate)]
        self.pitch = self._fundamental(frequency(note))

    def _fundamental(self, written):
        """The strongest frequency within a semitone of what is written, from the peak of a padded spectrum."""
        size = 1 << 19
        spectrum = numpy.abs(numpy.fft.rfft(self.samples * numpy.hanning(len(self.samples)), size))
        hertz = numpy.arange(len(spectrum)) * self.rate / size
        near = (hertz > written / 2 ** (1 / 12)) & (hertz < written * 2 ** (1 / 12))
        return hertz[near][spectrum[near].argmax()]

    def partial(self, number, samples=None):
        """The n-th partial as a slowly turning complex number: the sound moved down by n times the pitch, smoothed by a
        Hann window of six periods, which lets nothing of the partials beside it through.
        """
        samples = self.samples if samples is None else samples
        length = max(6 / self.pitch, 0.02)
        window = numpy.hanning(int(length * self.rate) | 1)
        turning = numpy.exp(-2j * numpy.pi * number * self.pitch * numpy.arange(len(samples)) / self.rate)
        return fftconvolve(samples * turning, 2 * window / window.sum(), mode="same"), length


# -- What is measured of it -------------------------------------------------------------------------------------------


def decibel(value):
    return 20 * numpy.log10(numpy.maximum(value, 1e-9))


def envelope(stroke):
    """Root mean square over two periods, but at least 20 ms, around each sample."""
    window = numpy.ones(int(max(2 / stroke.pitch, 0.02) * stroke.rate))
    return numpy.sqrt(numpy.maximum(fftconvolve(stroke.samples**2, window / window.sum(), mode="same"), 0))


def levels(stroke):
    """Levels at the moments in dB against the highest."""
    level = decibel(envelope(stroke))
    return [level[int(at * stroke.rate)] - level.max() for at in MOMENTS]


def t60(stroke):
    """Seconds to fall by 60 dB, from a straight line by least squares through the level's first 30 dB.

    Not through the energy that is still to come (M. R. Schroeder, J. Acoust. Soc. Am. 37, 409, 1965): that falls too
    early where a recording stops.
    """
    level = decibel(envelope(stroke))
    level = level[level.argmax() :]
    end = int(numpy.argmax(level < level[0] - 30)) or len(level)
    return -60 / numpy.polyfit(numpy.arange(end) / stroke.rate, level[:end], 1)[0]


def bends(stroke):
    """How far partials 1 to 3 bend or beat: the root mean square of what lies between their levels and a straight line,
    in dB, from 50 ms on to where they meet the noise (10 dB above what was there before the stroke, or 60 dB down).
    What the smoothing window makes of the end of a recording is left out.
    """
    found = []
    for number in (1, 2, 3):
        turning, length = stroke.partial(number)
        level = decibel(numpy.abs(turning))
        noise = decibel(numpy.abs(stroke.partial(number, stroke.before)[0]).mean()) + 10
        start = int(0.05 * stroke.rate)
        under = level[start:] < max(noise, level.max() - 60)
        end = (start + int(numpy.argmax(under)) if under.any() else len(level)) - int(length * stroke.rate)
        if end - start < 0.05 * stroke.rate:
            found.append(None)
            continue
        times, here = numpy.arange(start, end) / stroke.rate, level[start:end]
        found.append(numpy.std(here - numpy.polyval(numpy.polyfit(times, here, 1), times)))
    return found


def spectrum_of(stroke, seconds=0.5):
    """Magnitudes of the first half second, faded out by half a Hann window so that the attack counts whole."""
    count = int(seconds * stroke.rate)
    fade = numpy.hanning(2 * count)[count:]
    return numpy.fft.rfftfreq(count, 1 / stroke.rate), numpy.abs(numpy.fft.rfft(stroke.samples[:count] * fade))


def centroid(stroke):
    """The spectral centroid in hertz, weighted by magnitude (G. Peeters, CUIDADO report, Ircam 2004), up to 16 kHz and
    of what lies within 60 dB of the strongest, so that noise in between does not count.
    """
    hertz, magnitude = spectrum_of(stroke)
    heard = (magnitude > magnitude.max() / 1000) & (hertz < 16_000)
    return float((hertz[heard] * magnitude[heard]).sum() / magnitude[heard].sum())


def partial_levels(stroke, most=6):
    """Levels of the partials in dB: the strongest of the spectrum within 3 % of each multiple of the pitch."""
    hertz, magnitude = spectrum_of(stroke)
    near = [numpy.abs(hertz / stroke.pitch / number - 1) < 0.03 for number in range(1, most + 1)]
    return numpy.array([decibel(magnitude[here].max()) for here in near])


def glide(stroke):
    """By how many cents the fundamental is higher in the first 100 ms than from 0.2 to 0.7 s.

    The frequency is the slope of the partial's phase, by least squares weighted with its power. What the smoothing
    window has of the time before the stroke is left out, so of the lowest notes only the end of these 100 ms counts.
    """
    turning, length = stroke.partial(1)
    phase = numpy.unwrap(numpy.angle(turning))

    def cents(start, end):
        span = slice(int(start * stroke.rate), int(end * stroke.rate))
        times = numpy.arange(span.start, span.stop) / stroke.rate
        slope = numpy.polyfit(times, phase[span], 1, w=numpy.abs(turning[span]))[0]
        return 1200 * numpy.log2(1 + slope / (2 * numpy.pi * stroke.pitch))

    return cents(min(length / 2, 0.07), 0.1) - cents(0.2, 0.7)


def difference(one, other, seconds=1.0):
    """What is left of a stroke when another is taken from it, in dB against it, after moving it to where least is left.

    It is moved by fractions of a sample, through the phase of its spectrum.
    """
    count = int(seconds * one.rate)
    here, there = (numpy.fft.rfft(stroke.samples[:count], 2 * count) for stroke in (one, other))
    fine = 8
    alike = numpy.fft.irfft(here * numpy.conj(there), 2 * count * fine)
    shift = (numpy.argmax(alike) + count * fine) % (2 * count * fine) - count * fine
    moved = there * numpy.exp(-2j * numpy.pi * numpy.arange(len(there)) * shift / fine / (2 * count))
    left = numpy.fft.irfft(here - moved, 2 * count)
    return decibel(numpy.sqrt((left**2).sum() / (one.samples[:count] ** 2).sum()))


def rolled(panfold, path, folder):
    """The strokes of a roll of four seconds: when and how hard, as planned and as heard."""
    plan = json.loads(run(panfold, "render", path, "--section", "one-roll", "--json"))["strokes"]
    sound = folder / f"{path.stem}-roll.wav"
    how = ["--no-count-in", "--bits", "float", "--replace"]
    run(panfold, "render", path, "--section", "one-roll", "--sound", sound, *how)
    samples, rate = left_of(sound)
    found = onsets(sound)
    found = found[found < BAR]
    # How a stroke adds to what still rings depends on how the two meet, so that even equal strokes make unequal
    # peaks. Above the partials there is only what the stick and the skirt do, which is over before the next stroke.
    high = sosfilt(butter(4, 7.5 * frequency(SAME[path.stem]), "high", fs=rate, output="sos"), samples)
    energy = {
        name: [(what[at : at + int(0.025 * rate)] ** 2).sum() for at in (numpy.maximum(found, 0) * rate).astype(int)]
        for name, what in (("all", samples), ("high", high))
    }
    planned = numpy.array([stroke["seconds"] for stroke in plan])
    # The first stroke is harder on purpose, so no level counts it.
    return {
        "strokes planned": len(plan),
        "strokes heard": len(found),
        "strokes a second": float(1 / numpy.diff(planned).mean()),
        "planned: spread of the intervals, ms": float(1000 * numpy.diff(planned).std()),
        "heard: spread of the intervals, ms (about 1.2 if even)": float(1000 * numpy.diff(found).std()),
        "planned: spread of the velocities": float(numpy.std([stroke["velocity"] for stroke in plan[1:]])),
        "heard: spread of the levels, dB": float(numpy.std(10 * numpy.log10(energy["all"][1:]))),
        "heard: spread of the levels above the partials, dB": float(numpy.std(10 * numpy.log10(energy["high"][1:]))),
    }


# -- One instrument ---------------------------------------------------------------------------------------------------


def strokes_of(sound, plan, strokes):
    samples, rate = left_of(sound)
    return [Stroke(samples, rate, at["seconds"], *struck) for at, struck in zip(plan, strokes)]


def measure(alone, same):
    """All figures of one program's strokes: single ones by note and velocity, and those that are meant the same."""
    figures = {"notes": {}}
    for note, strokes in itertools.groupby(alone, key=lambda stroke: stroke.note):
        by_force = {stroke.velocity: stroke for stroke in strokes}
        middle = by_force[MIDDLE]
        loudest = decibel(envelope(by_force[max(VELOCITIES)]).max())
        figures["notes"][note] = {
            "levels": levels(middle),
            "t60": [t60(stroke) for stroke in by_force.values()],
            "bends": bends(middle),
            "loudness": [decibel(envelope(stroke).max()) - loudest for stroke in by_force.values()],
            "centroid": [centroid(stroke) for stroke in by_force.values()],
            "centroid to pitch": [centroid(stroke) / stroke.pitch for stroke in by_force.values()],
            "partials": list(partial_levels(middle) - partial_levels(middle)[0])[1:],
            "glide": [glide(stroke) for stroke in by_force.values()],
        }
    centroids = [centroid(stroke) for stroke in same]
    differences = [difference(one, other) for one, other in itertools.combinations(same, 2)]
    figures["same"] = {
        "identical": sum(found < -120 for found in differences) / len(differences),
        "differences": [found for found in differences if found >= -120],
        "centroid": [float(numpy.mean(centroids)), float(numpy.std(centroids))],
        "partials": list(numpy.std([partial_levels(stroke) for stroke in same], axis=0)),
    }
    return figures


def listen(panfold, fonts, folder):
    """The figures of panfold and of each font, and panfold's rolls."""
    write_band(folder)
    heard = {name: {} for name in ["panfold", *(font.stem for font in fonts)]}
    rolls = {}
    for kind in NOTES:
        path, strokes = write_tune(kind, folder)
        midi, sound = folder / f"{kind}.mid", folder / f"{kind}-panfold.wav"
        run(panfold, "render", path, "--midi", midi, "--replace")
        run(panfold, "render", path, "--sound", sound, "--no-count-in", "--bits", "float", "--replace")
        plan = json.loads(run(panfold, "render", path, "--section", "strokes", "--json"))["strokes"]
        meant = [(stroke["note"], stroke["velocity"]) for stroke in plan]
        if meant != strokes:
            wrong = next(pair for pair in itertools.zip_longest(strokes, meant) if pair[0] != pair[1])
            sys.exit(f"compare_sound: the {kind} should play {wrong[0]}, and plays {wrong[1]}")
        sounds = {"panfold": sound}
        for font in fonts:
            sounds[font.stem] = folder / f"{kind}-{font.stem}.wav"
            effects_off = ["-R", "0", "-C", "0", "-r", "44100", "-O", "float", "-F", sounds[font.stem]]
            run("fluidsynth", "-ni", *effects_off, font, midi)
        for name, sound in sounds.items():
            all_strokes = strokes_of(sound, plan, strokes)
            heard[name][kind] = measure(all_strokes[:-SAME_STROKES], all_strokes[-SAME_STROKES:])
        rolls[kind] = rolled(panfold, path, folder)
    return heard, rolls


# -- The tables -------------------------------------------------------------------------------------------------------


def figures(values, digits):
    """Numbers side by side; a dash for what was not there to be measured, or is silent (100 dB down)."""
    return "  ".join("–" if value is None or value < -100 else f"{value:.{digits}f}" for value in values)


def table(head, names, rows):
    print(f"\n### {head}\n")
    print(f"| | {' | '.join(names)} |\n| --- |{' ---: |' * len(names)}")
    for name, cells in rows:
        print(f"| {name} | {' | '.join(cells)} |")


def print_tables(heard, rolls):
    names = list(heard)
    forces = " ".join(map(str, VELOCITIES))
    for head, key, digits in (
        (f"Level in dB at {' '.join(f'{at:g}' for at in MOMENTS)} s against the peak, velocity {MIDDLE}", "levels", 1),
        (f"T60 in s by velocity ({forces})", "t60", 2),
        (f"How far partials 1 2 3 bend or beat, in dB, velocity {MIDDLE}", "bends", 1),
        (f"Peak level in dB by velocity ({forces})", "loudness", 1),
        (f"Spectral centroid in Hz by velocity ({forces})", "centroid", 0),
        (f"Spectral centroid as a multiple of the pitch by velocity ({forces})", "centroid to pitch", 2),
        (f"Partials 2 to 6 in dB against the first, velocity {MIDDLE}", "partials", 0),
        (f"Glide in cents, the first 100 ms against the rest, by velocity ({forces})", "glide", 1),
    ):
        rows = [
            (note, [figures(heard[name][kind]["notes"][note][key], digits) for name in names])
            for kind, notes in NOTES.items()
            for note in notes
        ]
        table(head, names, rows)
    rows = []
    for kind, note in SAME.items():
        same = [heard[name][kind]["same"] for name in names]
        apart = [one["differences"] for one in same]
        centroids = [[mean, 100 * spread / mean] for mean, spread in (one["centroid"] for one in same)]
        rows += [
            (f"{note}: pairs that are one sound, in %", [figures([100 * one["identical"]], 0) for one in same]),
            (
                f"{note}: difference of the others in dB against the stroke, least and greatest",
                [figures([min(pairs), max(pairs)], 1) if pairs else "–" for pairs in apart],
            ),
            (f"{note}: centroid in Hz, its spread in %", [figures(pair, 2) for pair in centroids]),
            (f"{note}: spread of partials 1 to 6 in dB", [figures(one["partials"], 2) for one in same]),
        ]
    table(f"{SAME_STROKES} strokes that are meant the same, velocity {SAME_VELOCITY}", names, rows)
    rows = [(what, [figures([rolls[kind][what]], 2) for kind in rolls]) for what in next(iter(rolls.values()))]
    table(f"Rolls of {BAR:.0f} s in panfold", [f"{kind}, {SAME[kind]}" for kind in rolls], rows)


def main():
    about, _, rest = __doc__.partition("\n")
    parser = argparse.ArgumentParser(
        description=about, epilog=rest.split("\n\n", 1)[1], formatter_class=argparse.RawDescriptionHelpFormatter
    )
    add = parser.add_argument
    add("panfold", metavar="PANFOLD", type=Path, help="the program")
    add("--font", metavar="FILE", type=Path, action="append", help="a sound font to compare with instead")
    add("--keep", metavar="FOLDER", type=Path, help="leave tunes, MIDI and sounds in this folder, to listen to")
    add("--json", metavar="FILE", type=Path, help="write all figures here as well")
    asked = parser.parse_args()
    fonts = asked.font or FONTS
    if not os.access(asked.panfold, os.X_OK):
        parser.error(f"{asked.panfold} can't be run: is it built?")
    if not shutil.which("fluidsynth") or not all(font.exists() for font in fonts):
        packages = "fluidsynth timgm6mb-soundfont fluid-soundfont-gm"
        parser.error(f"FluidSynth or a font is missing: apt-get install {packages}")
    with tempfile.TemporaryDirectory(prefix="panfold-sound-") as folder:
        folder = asked.keep or Path(folder)
        folder.mkdir(parents=True, exist_ok=True)
        heard, rolls = listen(asked.panfold.resolve(), fonts, folder)
    print_tables(heard, rolls)
    if asked.json:
        asked.json.write_text(json.dumps({"heard": heard, "rolls": rolls}, indent=1) + "\n")


if __name__ == "__main__":
    main()
