"""An independent loudness meter listens to whether players hear their parts in their own tracks.

usage: mixes_agree.py PANFOLD STEMS FOLDER TUNE...

For every part's tracks of the tunes' packs in FLAC, at full speed and slow, the example `stems` (STEMS, built) writes the part alone and
the rest alone, at the gains of the track. Then

- both are turned down where the track's limiter turned it down, which is where the track is less than their sum; nothing else may
  differ;
- pyloudnorm (ITU-R BS.1770, integrated and gated, each signal for itself) finds the part at least 6 LU above the rest, in full
  and after a Butterworth high-pass of scipy's at 300 Hz, of order 8 (48 dB an octave, steeper than any small speaker);
- `render --mix alone` has at least -26 LUFS after the same high-pass.
"""

import concurrent.futures
import pathlib
import re
import subprocess
import sys
import tempfile

import numpy
import pyloudnorm
import soundfile
from scipy.signal import butter, sosfilt

ABOVE = 6.0
ALONE = -26.0
# Three steps of 16 bits: what is below the power that is looked at, and two roundings.
ROUNDED = 3 / 32768


def run(*arguments):
    return subprocess.run([str(argument) for argument in arguments], check=True, capture_output=True, text=True).stdout


def small_speaker(samples, rate):
    return sosfilt(butter(8, 300, "highpass", fs=rate, output="sos"), samples, axis=0)


def loudness(samples, rate):
    """In full, and on a small speaker."""
    meter = pyloudnorm.Meter(rate)
    return numpy.array([meter.integrated_loudness(sound) for sound in (samples, small_speaker(samples, rate))])


def front(stems, tune, part, percent, track):
    with tempfile.TemporaryDirectory(dir=track.parent) as folder:
        run(stems, tune, part, percent, folder)
        own, rest, count = [soundfile.read(f"{folder}/{name}.wav", dtype="float32") for name in ("own", "rest", "count")]
    rate = own[1]
    own, rest, count = own[0], rest[0], count[0]
    whole, _ = soundfile.read(track, dtype="float32")
    length = min(len(whole), len(own))
    whole, summed = whole[:length], (own + rest + count)[:length]
    # What the limiter leaves of either, since it lowers the track most where the part is struck.
    power = numpy.square(summed).sum(axis=1, keepdims=True)
    turned = numpy.where(power > 1e-10, (whole * summed).sum(axis=1, keepdims=True) / numpy.maximum(power, 1e-10), 1).clip(0, 1)
    over = loudness(own[:length] * turned, rate) - loudness(rest[:length] * turned, rate)
    name = f"{tune.stem}, {part}, {percent} %"
    # The limiter turns both channels down alike and never up, so that nothing but the rounding to 16 bits is left.
    left = numpy.abs(whole - summed * turned).max()
    return name, over, left


def alone(panfold, tune, part, folder):
    path = folder / f"{tune.stem}-{part}-alone.wav"
    run(panfold, "render", tune, "--sound", path, "--part", part, "--mix", "alone")
    samples, rate = soundfile.read(path, dtype="float32")
    path.unlink()
    _, small = loudness(samples, rate)
    return f"{tune.stem}, {part}", small


def main():
    panfold, stems, folder, *tunes = sys.argv[1:]
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    tracks, solos = [], []
    with concurrent.futures.ProcessPoolExecutor(2) as pool:
        for tune in map(pathlib.Path, tunes):
            pack = folder / tune.stem
            run(panfold, "pack", tune, "-o", pack, "--format", "flac")
            for part in re.findall(r"^part\s+(\S+)", tune.read_text(), re.MULTILINE):
                for percent, ending in ((100, ""), (70, "-slow-70")):
                    track = pack / part / f"{tune.stem}-{part}{ending}.flac"
                    tracks.append(pool.submit(front, stems, tune, part, percent, track))
                solos.append(pool.submit(alone, panfold, tune, part, folder))
        tracks, solos = ([task.result() for task in tasks] for tasks in (tracks, solos))
    assert tracks and solos
    for name, over, left in tracks:
        if left >= ROUNDED:
            print(f"{name}: the stems are not the track ({left:.5f})")
        if (over < ABOVE).any():
            print(f"{name}: {over[0]:.2f} LU above the rest, {over[1]:.2f} on a small speaker")
    for name, small in solos:
        if small < ALONE:
            print(f"{name} alone: {small:.2f} LUFS on a small speaker")
    for number, hearing in enumerate(("in full", "on a small speaker")):
        name, over, _ = min(tracks, key=lambda track: track[1][number])
        print(f"{len(tracks)} tracks {hearing}: the part is at least {over[number]:.2f} LU above the rest ({name})")
    name, small = min(solos, key=lambda solo: solo[1])
    print(f"{len(solos)} parts alone: at least {small:.2f} LUFS on a small speaker ({name})")
    assert all((over >= ABOVE).all() and left < ROUNDED for _, over, left in tracks)
    assert all(small >= ALONE for _, small in solos)


if __name__ == "__main__":
    main()
