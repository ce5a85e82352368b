"""Independent decoders and readers take panfold's MP3 files as they are meant.

usage: mp3_agrees.py PANFOLD TUNE PACK SAME FOLDER PART...

PACK is a pack of the tune as it is made when nothing else is asked for, SAME one in FLAC. Of every track

- mpg123 and libsndfile (by soundfile) decode as many samples as the FLAC file has, the same ones to two steps of 16 bits, and none of
  them is late: the decoded track lies on the FLAC file's, to the sample, wherever one looks;
- pyloudnorm (ITU-R BS.1770) finds -16 LUFS within 0.5 LU. A file of one channel is heard from both sides, and is measured so;
- the true peak (scipy, eightfold) is at most -1 dBTP;
- mutagen reads the title, and a chapter for each section, where `render --json` says that it begins.

Of every PART alone, in stereo, an onset detector finds each stroke of the MP3 file within 3 ms of where it finds it in the WAV file. From
3 to 13 ms before a stroke, where the encoder's noise may come too early, it is at least 24 dB below the stroke. A player's folder takes at
most 5 MB, the pack 45 MB.
"""

import json
import pathlib
import subprocess
import sys

import numpy
import pyloudnorm
import soundfile
from mutagen.id3 import ID3
from scipy.signal import fftconvolve, resample_poly

from onsets import onsets

MIDDLE = numpy.array([0.5, 0.5])
# The floor for strokes of percussion, above the noise before them; notes are softer, and begin more softly.
FLOORS = {True: 3e-8, False: 1e-9}


def run(*arguments):
    return subprocess.run([str(argument) for argument in arguments], check=True, capture_output=True, text=True).stdout


def true_peak(samples):
    return 20 * numpy.log10(max(numpy.abs(resample_poly(side, 8, 1)).max() for side in samples.T))


def lags(decoded, plain, rate):
    """By how many samples stretches of a second are late, where there is something to hear."""
    for start in range(rate // 2, len(plain) - 2 * rate, 7 * rate):
        stretch = plain[start : start + rate]
        if numpy.square(stretch).mean() > 1e-6:
            near = decoded[start - 200 : start + rate + 200]
            yield int(fftconvolve(near, stretch[::-1], mode="valid").argmax()) - 200


def track(path, same, folder):
    decoded, rate = soundfile.read(path, always_2d=True)
    plain, plain_rate = soundfile.read(same)
    assert rate == plain_rate == 44100
    # The last frame of a FLAC file is filled up with silence when it is too short for the format.
    filled = len(plain) - len(decoded)
    is_filled = len(plain) % 4096 == 32 and 0 <= filled < 32 and not plain[len(plain) - filled :].any()
    assert filled == 0 or is_filled, f"{path}: {len(decoded)} samples for {len(plain)}"
    wav = folder / "decoded.wav"
    run("mpg123", "-q", "-w", wav, path)
    other, _ = soundfile.read(wav, always_2d=True)
    assert other.shape == decoded.shape, f"{path}: mpg123 decodes {other.shape}, libsndfile {decoded.shape}"
    assert numpy.abs(other - decoded).max() <= 2 / 32768, f"{path}: the decoders differ"
    late = set(lags(decoded.mean(axis=1), plain @ MIDDLE, rate))
    assert late and max(map(abs, late)) <= 1, f"{path}: late by {sorted(late)} samples"
    both = decoded if decoded.shape[1] == 2 else numpy.repeat(decoded, 2, axis=1)
    off = pyloudnorm.Meter(rate).integrated_loudness(both) + 16.0
    peak = true_peak(decoded)
    assert abs(off) <= 0.5, f"{path}: {off - 16:.2f} LUFS"
    assert peak <= -1.0, f"{path}: {peak:.2f} dBTP"
    return off, peak


def tags(panfold, tune, path, percent):
    id3 = ID3(path)
    plan = json.loads(run(panfold, "render", tune, "--json", "--count-in", "--tempo", f"{percent}%"))
    assert id3.version == (2, 4, 0) and str(id3["TIT2"]).startswith(plan["title"]) and str(id3["TSSE"]) == "panfold", path
    chapters = [id3[f"CHAP:{name}"] for name in id3["CTOC:sections"].child_element_ids]
    assert len(chapters) == len(plan["sections"]) > 1, path
    for chapter, section in zip(chapters, plan["sections"]):
        assert str(chapter.sub_frames["TIT2"]) == section["name"], path
        assert abs(chapter.start_time - 1000 * section["seconds"]) <= 1, (path, chapter.start_time, section)
    return len(chapters)


def strokes(panfold, tune, part, folder):
    plan = json.loads(run(panfold, "render", tune, "--json", "--part", part, "--count-in"))
    wanted = {round(stroke["seconds"], 6) for stroke in plan["strokes"]}
    is_percussion = all("mark" in stroke for stroke in plan["strokes"])
    heard, sound = {}, {}
    for ending in ("wav", "mp3"):
        path = folder / f"{part}.{ending}"
        run(panfold, "render", tune, "--sound", path, "--part", part, "--mix", "alone", "--replace")
        heard[ending] = onsets(path, FLOORS[is_percussion])
        samples, rate = soundfile.read(path)
        sound[ending] = samples @ MIDDLE
    power = lambda samples: numpy.square(samples).mean() + 1e-12
    early = []
    for at in (round(seconds * rate) for seconds in wanted if seconds > 0.013):
        stroke = power(sound["wav"][at : at + rate // 50])
        noise = (sound["mp3"] - sound["wav"])[at - 13 * rate // 1000 : at - 3 * rate // 1000]
        early.append(10 * numpy.log10(power(noise) / stroke))
    nearest = lambda moments, at: moments[numpy.abs(moments - at).argmin()]
    apart = [nearest(heard["mp3"], at) - nearest(heard["wav"], at) for at in wanted]
    worst = numpy.abs(apart).max()
    assert wanted and worst <= 0.003, f"a stroke of {part} is heard {worst * 1000:.1f} ms off"
    assert max(early) <= -24, f"the noise before a stroke of {part} is at {max(early):.1f} dB"
    print(f"{len(wanted)} strokes of {part} are heard within {worst * 1000:.2f} ms of the WAV file's, noise before them at {max(early):.1f} dB")


def main():
    panfold, tune, pack, same, folder, *parts = sys.argv[1:]
    pack, same, folder = pathlib.Path(pack), pathlib.Path(same), pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    files = sorted(pack.rglob("*.mp3"))
    assert len(files) == len(list(same.rglob("*.flac"))) > 2
    measured = [track(path, same / path.relative_to(pack).with_suffix(".flac"), folder) for path in files]
    worst, highest = max(abs(off) for off, _ in measured), max(peak for _, peak in measured)
    print(f"{len(files)} tracks: all samples in place, within {worst:.2f} LU of -16 LUFS, at most {highest:.2f} dBTP")
    for percent in (100, 70):
        path = next(path for path in files if ("slow-70" in path.name) == (percent == 70))
        print(f"{path.name}: {tags(panfold, tune, path, percent)} chapters")
    for part in parts:
        strokes(panfold, tune, part, folder)
    sizes = {path: sum(file.stat().st_size for file in path.rglob("*") if file.is_file()) for path in [pack, *pack.iterdir()]}
    largest = max((size, path.name) for path, size in sizes.items() if path != pack and path.is_dir())
    print(f"the pack takes {sizes[pack] / 1e6:.1f} MB, the largest folder {largest[0] / 1e6:.2f} MB ({largest[1]})")
    assert sizes[pack] <= 45e6 and largest[0] <= 5e6


main()
