"""What the eye does with one photo: copies of it, where text stands, what it says. Runs in the eye's own process alone.

The reader and the arithmetic on pictures are loaded here and nowhere else: they are heavy and may not be installed.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]
Floats = NDArray[np.float32]
# Longer side on which text is sought, and of the photo that is cut from. [px] Own choice: a marking fills a fifth of the photo.
SOUGHT, KEPT = 512, 1280
# Cuts of one photo at most: a page of print is no marking.
MOST_CUTS = 6
# Letters and signs that stand on parts; the reader knows thousands more, which it would see in scratches.
SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,-–/()x×·°+≤<>: \"'=%Øø•"
# The reader's own size of a line. [px]
LINE = 48
# Below this the reader is unsure enough to try the line straightened. [-]
UNSURE = 0.8
BENDS = (-0.45, -0.22, 0.22, 0.45)


class TextLooker:
    """A loaded reader, for one photo after another."""

    def __init__(self) -> None:
        import cv2
        from rapidocr_onnxruntime import RapidOCR

        cv2.setNumThreads(1)
        # One thread: the bench goes on beside it.
        self.reader = RapidOCR(
            intra_op_num_threads=1, inter_op_num_threads=1, det_limit_side_len=32, det_limit_type="min"
        )
        self.letters: list[str] = self.reader.text_rec.postprocess_op.character
        self.allowed = np.array([place == 0 or one in SIGNS for place, one in enumerate(self.letters)])

    def seen(self, photo: Grey) -> Iterator[dict[str, object]]:
        """Every text on every copy of a grey photo."""
        import cv2

        longest = max(photo.shape)
        if longest > KEPT:
            photo = cv2.resize(
                photo, None, fx=KEPT / longest, fy=KEPT / longest, interpolation=cv2.INTER_AREA
            )
        for cut, copy, back in _copies(photo):
            for box in self._boxes(copy):
                around = _around(box, back, photo.shape)
                yield from self._read_cut(cut, copy, box, around)

    def _read_cut(
        self, cut: str, copy: Grey, box: Floats, around: tuple[float, ...]
    ) -> Iterator[dict[str, object]]:
        line = _cut_out(copy, box)
        surest = 0.0
        for name, treated, wider in _treated(line):
            text, score = self._read(treated, wider)
            surest = max(surest, score)
            if text:
                yield {"text": text, "score": score, "box": around, "copy": f"{cut}, {name}", "cut": cut}
        if surest < UNSURE:
            best = max((self._read(_straightened(line, bend)) for bend in BENDS), key=lambda one: one[1])
            if best[0]:
                yield {
                    "text": best[0],
                    "score": best[1],
                    "box": around,
                    "copy": f"{cut}, straightened",
                    "cut": cut,
                }

    def _boxes(self, copy: Grey) -> list[Floats]:
        import cv2

        scale = SOUGHT / max(copy.shape)
        small = cv2.resize(
            copy, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
        )
        found, _ = self.reader.text_det(cv2.cvtColor(small, cv2.COLOR_GRAY2BGR))
        boxes = [] if found is None else [np.asarray(box / scale, dtype=np.float32) for box in found]
        return sorted(boxes, key=lambda box: -cv2.contourArea(box))[:MOST_CUTS]

    def _read(self, line: Grey, wider: float = 1.0) -> tuple[str, float]:
        """The text of one line, and how sure the reader is of the figure it is least sure of."""
        import cv2

        high, wide = line.shape
        across = int(np.clip(wider * LINE * wide / high, LINE, 20 * LINE))
        sized = cv2.resize(line, (across, LINE)).astype(np.float32) / 127.5 - 1
        chances = self.reader.text_rec.session(np.repeat(sized[None], 3, axis=0)[None])[0][0]
        allowed = np.where(self.allowed[None], chances, 0.0)
        best = allowed.argmax(axis=1)
        text, surest, before = "", [], 0
        for place, chosen in enumerate(best):
            chance = float(allowed[place, chosen])
            if chosen and chosen != before:
                text += self.letters[chosen]
                surest.append(chance)
            elif chosen:
                surest[-1] = max(surest[-1], chance)
            before = int(chosen)
        figures = [chance for one, chance in zip(text, surest, strict=True) if one.isdigit() or one == "."]
        return text.strip(), min(figures or surest, default=0.0)


def _copies(photo: Grey) -> Iterator[tuple[str, Grey, NDArray[np.float64]]]:
    """Copies on which text is sought, each with the way back to the photo."""
    import cv2

    same = np.eye(2, 3)
    yield "as it is", photo, same
    yield "levelled", _levelled(cv2.GaussianBlur(photo, (0, 0), 1.2)), same
    for turn in (-9.0, 9.0):
        high, wide = photo.shape
        way = cv2.getRotationMatrix2D((wide / 2, high / 2), turn, 1.0)
        turned = cv2.warpAffine(
            photo, way, (wide, high), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
        )
        yield f"turned {turn:+.0f}°", turned, cv2.invertAffineTransform(way)


def _treated(line: Grey) -> Iterator[tuple[str, Grey, float]]:
    """One line of text, treated in several ways, and how much wider it is read: in narrow print a reader takes 44 for one 4."""
    import cv2

    contrast = cv2.createCLAHE(3.0, (4, 4)).apply(line)
    yield "local contrast", contrast, 1.0
    yield "wider", _stretched(line), 1.4
    yield "inverted", np.asarray(255 - _stretched(cv2.medianBlur(line, 3)), dtype=np.uint8), 1.15


def _stretched(grey: Grey) -> Grey:
    low, high = np.percentile(grey, (1, 99))
    wide = max(float(high - low), 1.0)
    return np.asarray(np.clip((grey.astype(np.float32) - low) * 255 / wide, 0, 255), dtype=np.uint8)


def _levelled(grey: Grey) -> Grey:
    """Without what changes slowly: shine, shade, the round of a tube."""
    import cv2

    slow = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), max(grey.shape[0] * 0.08, 5))
    rest = grey.astype(np.float32) - slow
    strongest = max(float(np.percentile(np.abs(rest), 98)), 1.0)
    return np.asarray(np.clip(127 + rest * 110 / strongest, 0, 255), dtype=np.uint8)


def _cut_out(copy: Grey, box: Floats, above: float = 0.14, beside: float = 0.3) -> Grey:
    """The line in a box, upright, with some room around it: a figure at the end may stand half outside."""
    import cv2

    wide, high = (
        max(*(float(np.hypot(*(box[one] - box[other]))) for one, other in sides), 4.0)
        for sides in (((0, 1), (3, 2)), ((0, 3), (1, 2)))
    )
    x, y = beside * high, above * high
    onto = np.array([[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]], dtype=np.float32)
    way = cv2.getPerspectiveTransform(box, onto)
    size = (int(wide + 2 * x), int(high + 2 * y))
    line = cv2.warpPerspective(copy, way, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(np.rot90(line) if size[1] > 1.5 * size[0] else line, dtype=np.uint8)


def _straightened(line: Grey, bend: float) -> Grey:
    """A line bent as print round a tube is, straight again: each column moved along a parabola."""
    import cv2

    high, wide = line.shape
    across = np.linspace(-1, 1, wide, dtype=np.float32)
    x, y = np.meshgrid(np.arange(wide, dtype=np.float32), np.arange(high, dtype=np.float32))
    moved = y + bend * high * (across**2 - 0.5)[None, :]
    straight = cv2.remap(
        line, x, np.asarray(moved, dtype=np.float32), cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(straight, dtype=np.uint8)


def _around(
    box: Floats, back: NDArray[np.float64], shape: tuple[int, ...]
) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a box in shares of the photo."""
    corners = box @ back[:, :2].T + back[:, 2]
    high, wide = shape
    left, top = corners.min(axis=0) / (wide, high)
    right, bottom = corners.max(axis=0) / (wide, high)
    return tuple(round(float(np.clip(one, 0, 1)), 4) for one in (left, top, right, bottom))  # type: ignore[return-value]
