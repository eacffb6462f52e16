"""What times are counted in: a fixed piece of work of the kinds the program does.

One exponential alone was the unit at first. Between two processors it differed by six while the
program took the same time, for its speed hangs on how wide their vectors are. So the unit is a
mixture: arrays as large as three variants, 512 draws and 60 times, many small arrays, and plain
Python; about half a millisecond where nothing else runs.
"""

import time

import numpy as np

__all__ = ["unit"]

_LARGE = np.random.default_rng(1).random((3, 512, 60))
_SMALL = _LARGE[0, 0]


def _work():
    made = np.multiply(_LARGE, 1.1)
    made += 0.3
    np.maximum(made, 0.5, out=made)
    made /= _LARGE + 1.0
    np.add.reduce(made, axis=1)
    small = _SMALL
    for _ in range(90):
        small = np.minimum(small * 0.5 + 0.25, 1.0)
    total = 0.0
    for one in range(3000):
        total += one * 0.5
    return total


def unit(repeats=60):
    """Return the least processor time of the piece of work [s]."""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        _work()
        times.append(time.process_time() - start)
    return min(times)
