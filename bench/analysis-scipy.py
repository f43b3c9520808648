"""Times the analysis of a WAV file with scipy: the figures of `ohmest analyse`, from one transform a channel.

usage: analysis-scipy.py each|once TONE_HZ FILE
  for each line on standard input one round; prints its JSON: CPU milliseconds a channel, and the figures

Imports are not timed. The work: read the file, whole-record spectrum, fundamental, harmonics 2 to 20, noise in the
band, THD, THD+N, DC, peak, and the phase of the tone hop by hop for lost samples. `each` reckons the phasors of the
tone for every channel, as one writes it down; `once` for all channels of a file together, since they hold one tone.
"""

import functools
import json
import sys
import time

import numpy as np
from scipy.fft import rfft
from scipy.io import wavfile

BAND = (20.0, 20000.0)
HOPS = 512


def turning(fundamental, n):
    return np.exp(-2j * np.pi * fundamental * np.arange(n) / n)


def analyse(x, rate, tone, turning):
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
    size = n // HOPS
    phasors = (x * turning(fundamental, n))[: size * HOPS].reshape(HOPS, size).mean(axis=1)
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
    phasors, tone, path = sys.argv[1], float(sys.argv[2]), sys.argv[3]
    for _ in sys.stdin:
        begun = time.process_time()
        rate, data = wavfile.read(path)
        channels = data.astype(np.float64).T
        turns = functools.cache(turning) if phasors == "once" else turning
        figures = [analyse(np.ascontiguousarray(x), rate, tone, turns) for x in channels]
        ms_per_channel = 1000 * (time.process_time() - begun) / len(channels)
        print(json.dumps({"ms_per_channel": ms_per_channel, "figures": figures}), flush=True)


main()
