"""Times the analysis of a WAV file with scipy: the figures of `ohmest analyse`, from one transform a channel.

usage: analysis-scipy.py ROUNDS TONE_HZ FILE   -> JSON: milliseconds a channel (median of the rounds) and the figures

Imports are not timed. The work: read the file, whole-record spectrum, fundamental, harmonics 2 to 20, noise in the
band, THD, THD+N, DC, peak, and the phase of the tone hop by hop for lost samples.
"""

import json
import sys
import time

import numpy as np
from scipy.fft import rfft
from scipy.io import wavfile

BAND = (20.0, 20000.0)
HOPS = 512


def analyse(x, rate, tone):
    n = len(x)
    spectrum = rfft(x) / n
    power = 2 * np.abs(spectrum) ** 2
    power[0] /= 2
    power[-1] /= 2
    near = int(round(tone * n / rate))
    fundamental = near - 2 + int(np.argmax(power[near - 2 : near + 3]))
    low, high = int(np.ceil(BAND[0] * n / rate)), int(np.floor(BAND[1] * n / rate))
    bins = [k * fundamental for k in range(2, 21) if k * fundamental <= high]
    harmonics = power[bins]
    residue = power[low : high + 1].sum() - power[fundamental]
    noise = residue - harmonics.sum()
    turns = np.exp(-2j * np.pi * fundamental * np.arange(n) / n)
    size = n // HOPS
    phasors = (x * turns)[: size * HOPS].reshape(HOPS, size).mean(axis=1)
    steps = np.diff(np.unwrap(np.angle(phasors)))
    kinks = np.abs(x[2:] - 2 * np.cos(2 * np.pi * fundamental / n) * x[1:-1] + x[:-2])
    return {
        "fundamental_rms": float(np.sqrt(power[fundamental])),
        "thd_percent": float(100 * np.sqrt(harmonics.sum() / power[fundamental])),
        "thdn_percent": float(100 * np.sqrt(residue / (residue + power[fundamental]))),
        "noise_rms": float(np.sqrt(max(noise, 0))),
        "dc": float(spectrum[0].real),
        "peak": float(np.abs(x).max()),
        "phase_step": float(np.abs(steps).max()),
        "kink": float(kinks.max()),
    }


def main():
    rounds, tone, path = int(sys.argv[1]), float(sys.argv[2]), sys.argv[3]
    times = []
    figures = []
    for _ in range(rounds):
        begun = time.perf_counter()
        rate, data = wavfile.read(path)
        channels = data.astype(np.float64).T
        figures = [analyse(np.ascontiguousarray(x), rate, tone) for x in channels]
        times.append(1000 * (time.perf_counter() - begun) / len(channels))
    print(json.dumps({"ms_per_channel": sorted(times)[len(times) // 2], "figures": figures}))


main()
