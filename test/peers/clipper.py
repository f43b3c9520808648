"""clipper.py STIMULUS RESPONSE GAIN LIMIT: amplifies, then clips hard at plus and minus LIMIT."""

import sys

import numpy as np
from scipy.io import wavfile

stimulus, response = sys.argv[1:3]
gain, limit = map(float, sys.argv[3:5])
rate, samples = wavfile.read(stimulus)
clipped = np.clip(gain * samples.astype(np.float64), -limit, limit)
wavfile.write(response, rate, clipped.astype(np.float32))
