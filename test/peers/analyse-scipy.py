"""Distortion of every channel of WAV files, computed with scipy alone. Prints one JSON list for each file.

Standard input: a JSON list of [FILE, METHOD, LOW_HZ, HIGH_HZ].
METHOD: coherent  the file holds whole cycles: one rfft, bins read directly
        fit       anything else: least squares for the tone and its harmonics, noise from a periodogram
                  of what is left over
"""

import json
import sys

import numpy as np
from scipy import fft, io, optimize, signal

ORDERS = 20


def coherent(x, rate, low, high):
    spectrum = fft.rfft(x) / len(x)
    power = 2 * np.abs(spectrum) ** 2
    frequency = fft.rfftfreq(len(x), 1 / rate)
    tone = int(np.argmax(power[1:])) + 1
    orders = [n for n in range(2, ORDERS + 1) if n * frequency[tone] <= high]
    harmonics = [power[n * tone] for n in orders]
    rest = (frequency >= low) & (frequency <= high)
    rest[[0, tone] + [n * tone for n in orders]] = False
    return frequency[tone], power[tone], harmonics, power[rest].sum()


def design(f, t, orders):
    columns = [np.ones_like(t)]
    for n in range(1, orders + 1):
        columns += [np.cos(2 * np.pi * n * f * t), np.sin(2 * np.pi * n * f * t)]
    return np.stack(columns, axis=1)


def fitted(x, rate, low, high):
    t = (np.arange(len(x)) - len(x) / 2) / rate
    coarse_f, coarse = signal.periodogram(x, rate, "blackmanharris", scaling="spectrum")
    guess = coarse_f[int(np.argmax(coarse[3:])) + 3]

    def left_over(f, orders):
        a = design(f, t, orders)
        solution = np.linalg.lstsq(a, x, rcond=None)[0]
        return solution, x - a @ solution

    def objective(f):
        return np.mean(left_over(f, 3)[1] ** 2)

    bin_width = rate / len(x)
    found = optimize.minimize_scalar(
        objective, bounds=(guess - bin_width, guess + bin_width), method="bounded", options={"xatol": 1e-9}
    )
    f = found.x
    orders = min(ORDERS, int(0.499 * rate / f))
    solution, rest = left_over(f, orders)
    powers = (solution[1::2] ** 2 + solution[2::2] ** 2) / 2
    harmonics = [powers[n - 1] for n in range(2, orders + 1) if n * f <= high]
    frequency, density = signal.periodogram(rest, rate, "boxcar", detrend=False, scaling="density")
    inside = (frequency >= low) & (frequency <= high)
    return f, powers[0], harmonics, density[inside].sum() * frequency[1]


def figures(path, method, low, high):
    rate, samples = io.wavfile.read(path)
    samples = np.atleast_2d(np.asarray(samples, dtype=float).T)
    results = []
    for x in samples:
        f, fundamental, harmonics, noise = (coherent if method == "coherent" else fitted)(x, rate, low, high)
        distortion = sum(harmonics)
        results.append(
            {
                "fundamental_Hz": f,
                "fundamental_rms": np.sqrt(fundamental),
                "thd_percent": 100 * np.sqrt(distortion / fundamental),
                "thdn_percent": 100 * np.sqrt((distortion + noise) / (fundamental + distortion + noise)),
                "noise_rms": np.sqrt(noise),
                "harmonics": len(harmonics),
            }
        )
    return results


print(json.dumps([figures(*file) for file in json.load(sys.stdin)]))
