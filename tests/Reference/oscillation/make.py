#!/usr/bin/env python3
"""Makes the reference vectors of this folder: R's open series, and fits by scipy. Needs R, numpy, scipy.

Usage: ./make.py DATE    (the date goes into the headers)
"""
import subprocess
import sys

import numpy as np
import scipy
from scipy import optimize, signal

DATE = sys.argv[1]
R_VERSION = subprocess.run(
    ["Rscript", "-e", "cat(as.character(getRversion()))"], capture_output=True, text=True, check=True
).stdout
SERIES = {
    "sunspots-yearly": ("sunspot.year", "sunspot.year", (1 / 20, 1 / 5)),
    "sunspots-monthly": ("sunspots", "sunspots", (1 / 20, 1 / 5)),
    "lynx-log10": ("lynx", "log10(lynx)", (1 / 20, 1 / 5)),
    "nottem": ("nottem", "nottem", (0.8, 1.2)),
}


def from_r(expression):
    code = f"x <- {expression}; cat(sprintf('%.10g %.10g\\n', as.numeric(time(x)), as.numeric(x)), sep='')"
    out = subprocess.run(["Rscript", "-e", code], capture_output=True, text=True, check=True).stdout
    return np.array([line.split() for line in out.splitlines()], float).T


def peak(t, y, low, high):
    """Frequency of the highest Lomb-Scargle power of y less its mean."""
    y = y - y.mean()
    power = lambda f: signal.lombscargle(t - t[0], y, np.atleast_1d(2 * np.pi * f))
    grid = np.linspace(low, high, int(40 * (t[-1] - t[0]) * (high - low)) + 400)
    best = grid[np.argmax(power(grid))]
    step = grid[1] - grid[0]
    return optimize.minimize_scalar(
        lambda f: -power(f)[0], bounds=(best - step, best + step), method="bounded", options={"xatol": 1e-10}
    ).x


def write(name, header, t, y):
    with open(f"{name}.csv", "w", encoding="utf-8") as file:
        for line in header:
            file.write(f"# {line}\n")
        file.write("time,value\n")
        for row in zip(t, y):
            file.write("{:.10g},{:.10g}\n".format(*row))


def main():
    random = np.random.default_rng(20)
    for name, (label, expression, (low, high)) in SERIES.items():
        t, y = from_r(expression)
        source = f"source: R {R_VERSION} datasets::{label}; time in years; made by make.py on {DATE}"
        fit = f"expect: Lomb-Scargle peak of value less mean, scipy {scipy.__version__} signal.lombscargle"
        write(name, [source, fit, f"frequency_per_year={peak(t, y, low, high):.8f}"], t, y)
        kept = np.sort(random.choice(len(t), int(0.7 * len(t)), replace=False))
        t, y = t[kept], y[kept]
        source += "; a random 70 % of it"
        write(name + "-70-percent", [source, fit, f"frequency_per_year={peak(t, y, low, high):.8f}"], t, y)

    # A tone with a floating mean at uneven times, in noise.
    t = np.sort(random.uniform(-8, 8, 300))
    y = 47 + 1.7 * np.cos(2 * np.pi * 1.31 * t + 0.4) + random.normal(0, 0.5, t.size)
    model = lambda p: p[0] + p[1] * np.cos(2 * np.pi * p[3] * t) + p[2] * np.sin(2 * np.pi * p[3] * t) - y
    m, a, b, f = optimize.least_squares(model, [47, 1.5, -0.6, 1.31], xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    write(
        "tone-uneven",
        [
            f"source: made by make.py on {DATE}, numpy {np.__version__} default_rng(20)",
            f"expect: m + a cos(2 pi f t) + b sin(2 pi f t), scipy {scipy.__version__} optimize.least_squares",
            f"mean={m:.9f}",
            f"cosine={a:.9f}",
            f"sine={b:.9f}",
            f"frequency={f:.9f}",
        ],
        t,
        y,
    )

    # Density of an even series under the taper sin^2(pi (i + 1/2) / n), zero-padded to 1024.
    n, step = 500, 0.03125
    y = np.round(random.normal(0, 1, n).cumsum() * 0.1 + 2 * np.sin(2 * np.pi * 1.9 * step * np.arange(n)), 6)
    y = np.round(y - y.mean(), 6)
    taper = np.sin(np.pi * (np.arange(n) + 0.5) / n) ** 2
    f, density = signal.periodogram(
        y, fs=1 / step, window=taper, nfft=1024, detrend=False, return_onesided=False, scaling="density"
    )
    half = slice(1, 400)
    write(
        "density-input",
        [f"source: made by make.py on {DATE}; evenly spaced, s", "expect: see density-expected.csv"],
        step * np.arange(n),
        y,
    )
    write(
        "density-expected",
        [
            f"source: density-input.csv, scipy {scipy.__version__} signal.periodogram, two-sided, own taper, {DATE}",
            "columns: frequency, Hz, and density",
        ],
        f[half],
        density[half],
    )


main()
