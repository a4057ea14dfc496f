"""plane3d: show and compute how a bat and a ball meet."""

import os

# The matrices here are small: threads wait for each other eight times as long as one needs alone. Numpy reads it once.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
