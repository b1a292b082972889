"""What runs in the eye's own process: photos in, one line of JSON out for each, until nobody asks any more.

Input: four bytes of length and a photo, as often as wanted. Output: {"seen": [{text, score, box, copy, cut}, ...]}.
"""

import json
import os
import sys
from io import BytesIO
from typing import IO

import numpy as np
from PIL import Image, ImageOps

from pinchbolt.eye._looking import KEPT, TextLooker

# A photo that unpacks to more is none of a part. [px]
MOST_PIXELS = 60_000_000
# How far the eye gives way to the bench on the same machine.
GIVES_WAY = 5


def serve(asked: IO[bytes], answers: IO[bytes]) -> None:
    """Answer photos until the input ends."""
    looking = TextLooker()
    while len(head := asked.read(4)) == 4:
        photo = asked.read(int.from_bytes(head, "big"))
        with Image.open(BytesIO(photo), formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise ValueError("larger than any photo")
            # A JPEG unpacks to an eighth to a half of its sides, where that is still enough.
            opened.draft("L", (KEPT, KEPT))
            grey = np.asarray(ImageOps.exif_transpose(opened).convert("L"), dtype=np.uint8)
        answers.write(json.dumps({"seen": list(looking.seen(grey))}).encode() + b"\n")
        answers.flush()


def main() -> None:
    """Read from the standard input, and keep what libraries print out of the answers."""
    # libraries may write to the standard output: it is kept for answers alone.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    if hasattr(os, "nice"):
        os.nice(GIVES_WAY)
    serve(sys.stdin.buffer, answers)


if __name__ == "__main__":
    main()
