"""Listening-room and system-matching advisor: will this amplifier drive this pair loud enough, in that room, at that
chair.

The linear-algebra libraries are held to one thread each before numpy is imported: requests are served by several
threads already, and nested threads make small matrix products many times slower.
"""

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

__version__ = "0.2.0"
