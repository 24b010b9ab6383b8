"""The job of `pulse_figures` with general array libraries: spectrum of each hop, running means, running extremes, crossings
with hysteresis. Prints the processor seconds and the number of rising edges. Needs numpy and scipy."""

import sys
import time

import numpy as np
from scipy.io import wavfile
from scipy.ndimage import maximum_filter1d, minimum_filter1d, uniform_filter1d

HOP = 16384
SHARE = 0.4  # of the extremes, where the thresholds stand
FLOOR_MULTIPLE = 20  # of the median power, above which a bin belongs to the wave


def frequency(piece, rate):
    power = np.abs(np.fft.rfft(piece * np.hanning(len(piece)))) ** 2
    floor = np.median(power) / np.log(2)
    above = np.where(power > FLOOR_MULTIPLE * floor, power - floor, 0.0)
    above[:2] = 0.0
    total = above.sum()
    return None if total == 0 else np.searchsorted(np.cumsum(above), 0.7 * total) * rate / len(piece)


def odd(width):
    return 2 * max(int(round((width - 1) / 2)), 0) + 1


def twice(samples, width):
    return uniform_filter1d(uniform_filter1d(samples, odd(width)), odd(width))


def hop(samples, at, rate, side):
    around = samples[max(at + HOP // 2 - HOP, 0):at + HOP // 2 + HOP]
    hertz = frequency(around, rate)
    if not hertz:
        return np.empty(0), side
    cycle = rate / hertz
    beside = int(6 * cycle) + 2
    low, high = max(at - beside, 0), min(at + HOP + beside, len(samples))
    wave = twice(samples[low:high], 0.2 * cycle) - twice(samples[low:high], 2 * cycle)
    width = odd(2 * cycle)
    upper, lower = SHARE * maximum_filter1d(wave, width), SHARE * minimum_filter1d(wave, width)
    start, end = at - low, min(at - low + HOP, len(wave))
    state = np.where(wave > upper, 1, np.where(wave < lower, -1, 0))[start:end]
    known = np.concatenate([[side], state])
    last = np.maximum.accumulate(np.where(known != 0, np.arange(len(known)), 0))
    filled = known[last]
    told = np.flatnonzero((filled[1:] == 1) & (filled[:-1] == -1)) + start
    rises = np.flatnonzero((wave[:-1] < 0) & (wave[1:] >= 0))
    if len(rises) == 0:
        return np.empty(0), filled[-1]
    own = rises[np.clip(np.searchsorted(rises, told) - 1, 0, None)]
    a, b, c, d = (wave[np.clip(own + k, 0, len(wave) - 1)] for k in (-1, 0, 1, 2))
    third, second = (d - a) / 6 + (b - c) / 2, (a + c) / 2 - b
    first = c - b - second - third
    x = np.clip(-b / np.where(c == b, 1, c - b), 0, 1)
    for _ in range(3):
        slope = first + x * (2 * second + x * 3 * third)
        x = x - np.where(slope > 0, (b + x * (first + x * (second + x * third))) / np.where(slope > 0, slope, 1), 0)
    return (low + own + x) / rate, filled[-1]


def main():
    begun = time.process_time()
    rate, samples = wavfile.read(sys.argv[1])
    samples = samples / 32768.0
    edges, side = 0, 0
    for at in range(0, len(samples), HOP):
        found, side = hop(samples, at, rate, side)
        edges += len(found)
    print(f"{time.process_time() - begun:.3f} {edges}")


main()
