"""When something is struck in a sound file, by an onset detector of its own."""

import numpy
import soundfile
from scipy.signal import stft


def onsets(path, floor_of_power=1e-9):
    """Moments in seconds at which energy rises sharply: peaks of the rise of log energy in short overlapping windows.

    What is below the floor is taken for silence.
    """
    samples, rate = soundfile.read(path)
    hop, window, silence = 32, 256, 2048
    mono = numpy.concatenate([numpy.zeros(silence), samples.mean(axis=1)])
    _, times, spectrum = stft(mono, rate, nperseg=window, noverlap=window - hop, boundary=None)
    power = numpy.log10(numpy.abs(spectrum) ** 2 + floor_of_power)
    rise = numpy.maximum(power[:, 8:] - power[:, :-8], 0).sum(axis=0)
    found = []
    floor = numpy.median(rise) + 0.15 * (rise.max() - numpy.median(rise))
    for i in range(1, len(rise) - 1):
        if rise[i] > floor and rise[i] == rise[max(0, i - 60) : i + 60].max():
            # The rise is seen from where the onset enters the window to where a slower one fills half of it.
            found.append(times[i + 8] - (4 * hop + silence - window / 4) / rate)
    return numpy.array(found)
