"""What a tool is called where a person reads it: 8 mm hex key, never the id of a row."""

from collections.abc import Iterable

from pinchbolt.values.wording import worded

# Heads and keys that come in sizes; whatever the table adds later in the same manner is said in the same manner.
_SIZED = {
    "hex": worded("{} mm hex key"),
    "tx": worded("T{} six-lobe key"),
    "spanner": worded("{} mm spanner"),
    "cone-spanner": worded("{} mm cone spanner"),
    "pedal-spanner": worded("{} mm pedal spanner"),
    "spoke-key": worded("{} mm spoke key"),
    "crowfoot": worded("{} mm crow-foot"),
}
_SAID = {
    "bb-tool-12-notch": worded("12-notch bottom bracket tool"),
    "bb-tool-16-notch": worded("16-notch bottom bracket tool"),
    "bb-tool-20-spline": worded("20-spline bottom bracket tool"),
    "cassette-hold": worded("chain whip"),
    "crank-cap-tool": worded("preload cap tool"),
    "driver-ph2": worded("cross-head driver no. 2"),
    "driver-slot": worded("flat driver"),
    "flat-socket": worded("chamferless socket"),
    "hand": worded("by hand"),
    "lockring-hook": worded("hook spanner"),
}


def tool_words(code: str) -> str:
    """Return what turns a bolt, in words.

    Example:
        >>> tool_words("hex-2.5"), tool_words("tx-25"), tool_words("pedal-spanner-15"), tool_words("cassette-tool")
        ('2.5 mm hex key', 'T25 six-lobe key', '15 mm pedal spanner', 'cassette tool')
    """
    kind, _, size = code.rpartition("-")
    if kind in _SIZED and size[:1].isdigit():
        return _SIZED[kind].format(size)
    return _SAID.get(code, code.replace("-", " "))


def any_of(codes: Iterable[str]) -> str:
    """Return tools of which any will do, sizes of one kind together.

    Example:
        >>> any_of(["hex-8", "hex-6", "pedal-spanner-15"])
        '8 or 6 mm hex key or 15 mm pedal spanner'
        >>> any_of(["tx-25", "tx-30"])
        'T25 or T30 six-lobe key'
    """
    kinds: dict[str, list[str]] = {}
    for code in dict.fromkeys(codes):
        kind, _, size = code.rpartition("-")
        if kind in _SIZED and size[:1].isdigit():
            kinds.setdefault(kind, []).append(size)
        else:
            kinds[code] = []
    return " or ".join(
        _SIZED[kind].format((worded(" or T") if kind == "tx" else " or ").join(sizes))
        if sizes
        else tool_words(kind)
        for kind, sizes in kinds.items()
    )
