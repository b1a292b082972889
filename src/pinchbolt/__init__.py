"""pinchbolt: the bench book of a cycle workshop."""

import os

__version__ = "0.2.0"

# Our matrices are small: a second thread of the linear algebra only waits for the first, and takes a processor to do so. Compare
# `time pinchbolt wheel plan FILE` under OPENBLAS_NUM_THREADS=2. Whoever sets it is heard; it counts where numpy is not loaded yet.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Sentences that stand outside of functions are said as their module is loaded: the language is chosen before any of them.
if os.environ.get("PINCHBOLT_LANGUAGE", "en") not in ("", "en"):
    from pinchbolt.language import speak_language

    speak_language(os.environ["PINCHBOLT_LANGUAGE"])
