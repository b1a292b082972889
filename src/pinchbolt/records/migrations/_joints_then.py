"""What joints and limits on an older record settled of a part, and by which words parts were called in it.

As it was that day, and not read from the tables, which go on changing.
"""

from collections.abc import Mapping
from typing import Any

# What a joint on the sheet settled: (kinds, fact, value) at the joint's own end. The first that speaks of a fact is kept.
_PIVOTS = (("brake",), "stops_on", "rim")
JOINTS: Mapping[str, tuple[tuple[tuple[str, ...], str, Any], ...]] = {
    "stem-face-4": ((("stem", "one-piece bar"), "face_bolts", 4),),
    "stem-face-4-carbon": (
        (("stem", "one-piece bar"), "face_bolts", 4), (("handlebar", "one-piece bar"), "material", "carbon"),
    ),
    "stem-face-2": ((("stem",), "face_bolts", 2),),
    "stem-face-1": ((("stem",), "face_bolts", 1),),
    "stem-adjust": ((("stem",), "stem_kind", "adjustable"),),
    "stem-steerer-2": ((("stem", "one-piece bar"), "stem_kind", "two bolts"),),
    "stem-steerer-m6": ((("stem", "one-piece bar"), "stem_kind", "two bolts M6"),),
    "quill-wedge": ((("stem",), "stem_kind", "quill"),),
    "top-cap": ((("headset",), "headset_kind", "top cap"),),
    "expander-plug": ((("headset",), "headset_kind", "top cap"), (("fork",), "material", "carbon")),
    "headset-locknut": ((("headset",), "headset_kind", "locknut"),),
    "lever-clamp-drop": ((("brake",), "lever_clamp", "drop 23.8"),),
    "lever-clamp-flat": ((("brake",), "lever_clamp", "flat 22.2"),),
    "shifter-clamp-flat": ((("shifters",), "shifter_hold", "clamp"),),
    "lockon-grip": ((("grips",), "grip_hold", "clamp"),),
    "seat-collar": ((("seat post", "dropper post"), "seat_hold", "collar"),),
    "seat-wedge": ((("seat post", "dropper post"), "seat_hold", "wedge"),),
    "saddle-clamp-1": ((("seat post", "dropper post"), "saddle_clamp", "one bolt"),),
    "saddle-clamp-2": ((("seat post", "dropper post"), "saddle_clamp", "two bolts"),),
    "saddle-clamp-side": ((("seat post", "dropper post"), "saddle_clamp", "side bolt"),),
    "saddle-tube-clamp": ((("seat post",), "saddle_clamp", "tube clamp"),),
    "dropper-lever": ((("dropper post",), "dropper_line", "cable"),),
    "thru-front": ((("wheel",), "axle_hold", "thru"),),
    "thru-rear": ((("wheel",), "axle_hold", "thru"),),
    "quick-release": ((("wheel",), "axle_hold", "quick-release"),),
    "axle-nut-front": ((("wheel",), "axle_hold", "nuts"),),
    "axle-nut-rear": ((("wheel",), "axle_hold", "nuts"),),
    "hub-cone-locknut": ((("hub", "wheel"), "bearing", "cones"),),
    "fixed-sprocket-lockring": ((("sprocket",), "sprocket_hold", "fixed"),),
    "rotor-6-bolt": ((("rotor",), "rotor_kind", "six-bolt"),),
    "rotor-centre-lock": ((("rotor",), "rotor_kind", "centre-lock"),),
    "caliper-post-mount": ((("brake",), "stops_on", "disc"), (("brake",), "caliper", "post")),
    "caliper-flat-mount": ((("brake",), "stops_on", "disc"), (("brake",), "caliper", "flat")),
    "caliper-is-mount": ((("brake",), "stops_on", "disc"), (("brake",), "caliper", "is")),
    "caliper-adapter": ((("brake",), "stops_on", "disc"), (("brake",), "caliper_adapter", True)),
    "hose-nut": ((("brake",), "brake_line", "hose"), (("brake",), "hose_end", "nut")),
    "banjo": ((("brake",), "brake_line", "hose"), (("brake",), "hose_end", "banjo")),
    "bleed-screw": ((("brake",), "brake_line", "hose"),),
    "rim-caliper-pivot": (_PIVOTS, (("brake",), "arm_kind", "one bolt")),
    "rim-caliper-direct": (_PIVOTS, (("brake",), "arm_kind", "two bolts")),
    "vbrake-arm": (_PIVOTS, (("brake",), "arm_kind", "bosses")),
    "brake-cable-pinch": ((("brake",), "brake_line", "cable"),),
    "crank-taper-bolt": ((("crank",), "crank_hold", "taper"),),
    "crank-spline-bolt": ((("crank",), "crank_hold", "spline"),),
    "crank-pinch-2": ((("crank",), "crank_hold", "pinch"),),
    "crank-preload-cap": ((("crank",), "crank_hold", "pinch"),),
    "crank-self-extract": ((("crank",), "crank_hold", "self-extracting"),),
    "crank-face-spline-bolt": ((("crank",), "crank_hold", "face spline"),),
    "motor-crank-bolt": ((("crank",), "crank_hold", "motor"),),
    "chainring-bolt-alu": ((("chainring",), "ring_hold", "aluminium bolts"),),
    "chainring-bolt-steel": ((("chainring",), "ring_hold", "steel bolts"),),
    "chainring-direct-3": ((("chainring",), "ring_hold", "direct"),),
    "chainring-lockring": ((("chainring",), "ring_hold", "lockring"),),
    "bb-threaded-cup": ((("bottom bracket",), "bb_hold", "threaded cups"),),
    "bb-cartridge": ((("bottom bracket",), "bb_hold", "cartridge"),),
    "bb-press-screwed": ((("bottom bracket",), "bb_hold", "press and screw"),),
    "rear-mech": ((("rear derailleur",), "derailleur_mount", "ordinary"),),
    "rear-mech-full-mount": ((("rear derailleur",), "derailleur_mount", "full-mount"),),
    "hanger-bolts": ((("hanger",), "hanger", "own-shape"),),
    "hanger-universal": ((("hanger",), "hanger", "universal"),),
    "gear-cable-pinch:rear": ((("rear derailleur",), "shift_line", "cable"),),
    "gear-cable-pinch:front": ((("front derailleur",), "shift_line", "cable"),),
    "fork-crown-steerer-clamp-dual": ((("fork",), "crowns", 2),),
    "freehub-body-bolt": ((("freehub",), "body_hold", "hollow bolt"),),
    "thru-pinch": ((("fork",), "axle_pinch", True),),
    "cleat": ((("pedals",), "cleats", True),),
    "spoke-magnet": ((("speed sensor",), "sensor_kind", "spoke magnet"),),
}
# Two joints together that say more than each.
TOGETHER: Mapping[frozenset[str], tuple[tuple[str, ...], str, Any]] = {
    frozenset({"stem-adjust", "quill-wedge"}): (("stem",), "stem_kind", "adjustable quill"),
    frozenset({"bb-eccentric", "bb-threaded-cup"}): (("bottom bracket",), "bb_hold", "threaded cups in an eccentric"),
    frozenset({"bb-eccentric", "bb-cartridge"}): (("bottom bracket",), "bb_hold", "cartridge in an eccentric"),
}
# What a limit that is read on a part settled of that part; the first that speaks of a fact is kept.
LIMITS: Mapping[str, tuple[tuple[str, Any], ...]] = {
    "brake-fluid-age-mineral": (("fluid", "mineral"),),
    "brake-fluid-age-glycol": (("fluid", "glycol"),),
    "disc-pad-lining-resin": (("pads", "resin"),),
    "disc-pad-lining-sintered": (("pads", "sintered"),),
    "rotor-thickness-1.8": (("rotor_new_mm", 1.8),),
    "rotor-thickness-2.0": (("rotor_new_mm", 2.0),),
    "rotor-thickness-2.3": (("rotor_new_mm", 2.3),),
    "lever-free-travel-disc": (("stops_on", "disc"), ("brake_line", "hose")),
    "brake-hose": (("brake_line", "hose"),),
    "cable-brake-lever-gap": (("brake_line", "cable"),),
    "roller-brake-grease": (("stops_on", "roller"), ("brake_line", "cable")),
    "coaster-brake": (("stops_on", "coaster"), ("brake_line", "none")),
    "tyre-knob-height": (("tread", "knobs"),),
    "tyre-tread-city": (("tread", "city"),),
}
# What a part's own typed fields are called now.
SPECIFICATION = {
    ("chain", "pitches"): "chain_pitches", ("cassette", "speeds"): "sprockets_behind", ("cassette", "smallest"): "sprocket_small",
    ("cassette", "biggest"): "sprocket_big", ("rotor", "diameter_mm"): "rotor", ("pads", "lining"): "pads",
    ("tyre", "marked_max_bar"): "tyre_max_bar", ("wheel", "rim_inner_mm"): "rim_inner", ("wheel", "hooked"): "hook",
}
# The word by which a joint called what a marking was read on, and the kinds that it may stand for, the first that is there.
MARKED = {
    "steerer": ("fork",), "caliper": ("brake",), "lever": ("brake",), "brake arm": ("brake",), "adapter": ("brake",),
    "hose": ("brake",), "shifter": ("shifters",), "grip": ("grips",), "bar end": ("bar ends",), "bracket": ("bell",),
    "expander": ("headset",), "saddle rails": ("saddle",), "seat post": ("seat post", "dropper post"), "remote": ("dropper post",),
    "hub": ("hub", "wheel"), "rim": ("rim", "wheel"), "spoke": ("spokes", "wheel"), "valve": ("valve",), "pad": ("rim pads", "pads"),
    "cable": ("brake cable", "gear cables"), "pedal": ("pedals",), "spindle": ("crank",), "derailleur": ("rear derailleur",),
    "guide": ("chain guide",), "shock": ("rear shock",), "stand": ("kickstand",), "block": ("child seat",), "cover": ("motor",),
    "rod": ("steering linkage",), "torque arm": ("hub motor",), "cage": ("bottle cage",), "extension": ("aero extensions",),
}  # fmt: skip
# Where the spindle is one piece with the crank; else it is the bottom bracket's.
SPINDLE_OF_THE_CRANK = ("crank-pinch-2",)
# What a part beside it settled of another: (kind that is there, kind, fact, value).
BESIDE = (
    ("gear cables", "shifters", "shift_line", "cable"),
    ("gear cables", "hub gear", "shift_line", "cable"),
    ("hub gear", "sprocket", "sprocket_hold", "snap ring"),
)
# What stood in a bike's words or as a joint alone, and what fails with it can throw a rider: (kind, words, joint).
IN_WORDS = (
    ("child seat", ("child seat", "child's seat", "childseat"), "child-seat-block"),
    ("hitch", ("trailer coupling", "trailer hitch", "towbar"), ""),
    ("hub gear", ("hub gear", "gear hub"), ""),
)
