"""Independent libraries listen to what panfold renders.

usage: sound_agrees.py PANFOLD TUNE FOLDER PART...

- libsndfile (by soundfile) decodes the FLAC file to exactly the WAV file's samples;
- pyloudnorm (ITU-R BS.1770) finds every file of a pack within 0.5 LU of -16 LUFS, or softer where the program says so;
- an onset detector of its own finds every stroke of a part that is alone where `render --json` says that it is, within 5 ms;
- the tempo of a ladder's steps, from the onsets that are heard, is right to 0.1 %.
"""

import json
import pathlib
import subprocess
import sys

import numpy
import pyloudnorm
import soundfile

from onsets import onsets


def run(*arguments):
    return subprocess.run([str(argument) for argument in arguments], check=True, capture_output=True, text=True).stdout


def same_samples(panfold, tune, folder):
    wav, flac = folder / "band.wav", folder / "band.flac"
    for path in (wav, flac):
        run(panfold, "render", tune, "--sound", path)
    plain, _ = soundfile.read(wav, dtype="int16")
    packed, _ = soundfile.read(flac, dtype="int16")
    assert numpy.array_equal(packed[: len(plain)], plain), "the FLAC file holds other samples than the WAV file"
    # A last frame that is too short for the format is filled up with silence.
    assert len(packed) - len(plain) <= 32 and not packed[len(plain) :].any()
    print(f"libsndfile reads {len(plain)} samples from WAV and FLAC alike")


def loudness(panfold, tune, folder):
    pack = folder / "pack"
    run(panfold, "pack", tune, "-o", pack, "--format", "flac")
    worst = 0.0
    files = sorted(pack.rglob("*.flac"))
    assert files
    for path in files:
        samples, rate = soundfile.read(path)
        off = pyloudnorm.Meter(rate).integrated_loudness(samples) + 16.0
        worst = max(worst, abs(off))
        assert abs(off) <= 0.5, f"{path}: {off - 16:.2f} LUFS"
        assert numpy.abs(samples).max() <= 10 ** (-1 / 20), f"{path} peaks above -1 dBFS"
    print(f"pyloudnorm finds {len(files)} tracks within {worst:.2f} LU of -16 LUFS")


def strokes(panfold, tune, part, folder):
    path = folder / f"{part}.wav"
    run(panfold, "render", tune, "--sound", path, "--part", part, "--mix", "alone")
    plan = json.loads(run(panfold, "render", tune, "--json", "--part", part, "--count-in"))
    wanted = sorted({round(stroke["seconds"], 6) for stroke in plan["strokes"]})
    heard = onsets(path)
    offsets = numpy.array([heard[numpy.abs(heard - at).argmin()] - at for at in wanted])
    late = numpy.median(offsets)
    worst = numpy.abs(offsets).max()
    assert worst <= 0.005, f"a stroke of {part} is heard {worst * 1000:.1f} ms off"
    print(f"{len(wanted)} strokes of {part} are heard within {worst * 1000:.1f} ms (median {late * 1000:+.2f} ms)")


def ladder(panfold, tune, part, folder):
    path = folder / "ladder.wav"
    options = ["--part", part, "--kind", "ladder", "--bars", "5-8", "--mix", "alone"]
    plan = json.loads(run(panfold, "drill", tune, *options, "-o", path, "--json"))
    heard = onsets(path)
    ends = [step["seconds"] for step in plan["steps"][1:]] + [plan["seconds"]]
    reference = None
    for step, end in zip(plan["steps"], ends):
        inside = heard[(heard > step["seconds"] - 0.02) & (heard < end - 0.02)]
        span = (inside[-1] - inside[0]) * step["percent"]
        reference = span if step["percent"] == 100 else reference
    assert reference is not None
    for step, end in zip(plan["steps"], ends):
        inside = heard[(heard > step["seconds"] - 0.02) & (heard < end - 0.02)]
        ratio = (inside[-1] - inside[0]) * step["percent"] / reference
        assert abs(ratio - 1) < 0.001, f"the step at {step['percent']} % is {ratio - 1:+.3%} off"
    print(f"{len(ends)} steps of a ladder keep their tempo to 0.1 %")


def main():
    panfold, tune, folder, parts = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3]), sys.argv[4:]
    folder.mkdir(parents=True, exist_ok=True)
    same_samples(panfold, tune, folder)
    loudness(panfold, tune, folder)
    for part in parts:
        strokes(panfold, tune, part, folder)
    ladder(panfold, tune, parts[0], folder)


main()
