#!/usr/bin/env python3
"""Makes the reference vectors of this folder: coherence by scipy. Needs numpy, scipy.

Usage: ./make.py DATE    (the date goes into the headers)
"""
import sys

import numpy as np
import scipy
from scipy import signal

DATE = sys.argv[1]
RATE, LENGTH, SEGMENTS, LINES = 8, 512, 12, 129
COUNT = (SEGMENTS + 1) * LENGTH // 2

random = np.random.default_rng(20251125)
time = np.arange(COUNT) / RATE
wander = signal.lfilter([1], [1, -0.95], random.normal(size=COUNT))
fill = 50 + 6 * np.sin(2 * np.pi * 0.07 * time) + wander + 0.002 * time
own = signal.lfilter([0.1], [1, -0.98], random.normal(size=COUNT))
edge = signal.lfilter([0.05], [1, -0.9], fill - 50) * 0.2 + own
fill, edge = np.round(fill, 6), np.round(edge, 6)

frequency, coherence = signal.coherence(
    fill, edge, fs=RATE, window="hann", nperseg=LENGTH, noverlap=LENGTH // 2, detrend="linear"
)
with open("coherence-input.csv", "w") as out:
    out.write(f"# source: made by make.py on {DATE}; fill, %, and edge, mm, evenly {RATE} times a second\n")
    out.write("# expect: see coherence-expected.csv\n")
    out.write("fill,edge\n")
    out.writelines(f"{x:.6f},{y:.6f}\n" for x, y in zip(fill, edge))
with open("coherence-expected.csv", "w") as out:
    out.write(
        f"# source: coherence-input.csv, scipy {scipy.__version__} signal.coherence, fs={RATE}, window='hann',"
        f" nperseg={LENGTH}, noverlap={LENGTH // 2}, detrend='linear', {DATE}\n"
    )
    out.write("# tolerance: 1e-5, since ours keeps spectra in single precision\n")
    out.write("frequency,coherence\n")
    out.writelines(f"{f:.6f},{c:.10f}\n" for f, c in zip(frequency[:LINES], coherence[:LINES]))
