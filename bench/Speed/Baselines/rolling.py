"""The obvious way with numpy and scipy over a CSV trace: once a second the percentiles of the last quarter of an hour, every
four seconds a spectrum of the last 16 s. Less than the analysis does: no causes, no forecast, no conditions.
usage: rolling.py TRACE.csv"""

import csv
import sys

import numpy as np
from scipy import signal

with open(sys.argv[1], newline="") as file:
    header = next(csv.reader(file))
column = next(i for i, name in enumerate(header) if "gap" in name.lower())
data = np.loadtxt(sys.argv[1], delimiter=",", skiprows=1, usecols=(0, column))
rate, minutes, total = 50, 15, 0.0
for end in range(rate, len(data), rate):
    window = data[max(0, end - minutes * 60 * rate) : end, 1]
    total += np.percentile(window, [1, 5, 25, 50, 75, 95, 99], method="inverted_cdf")[5]
    if end % (4 * rate) == 0 and end >= 16 * rate:
        _, power = signal.periodogram(data[end - 16 * rate : end, 1], rate, "hann", 1024, "linear")
        total += power.argmax()
print(len(data), "rows,", total)
