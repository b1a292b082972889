"""pinchbolt: the bench book of a cycle workshop."""

import os

__version__ = "0.2.0"

# Our matrices are small: a second thread of the linear algebra only waits for the first, and takes a processor to do so (a truing
# plan: 0.98 s of processor time with it, 0.14 s without). Whoever sets it otherwise is heard; it counts where numpy is not loaded yet.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
