"""What the recordings of samples/write_samples.py hold: sport by its name in the open profile, metres of each leg."""

LEGS: dict[str, list[tuple[str, float]]] = {
    "walk.fit": [("walking", 2520.0)],
    "hike.fit": [("hiking", 2640.0)],
    "trail-run.fit": [("running", 4200.0)],
    "kayak.fit": [("kayaking", 3600.0)],
    "stand-up-paddle.fit": [("stand_up_paddleboarding", 2340.0)],
    "rowing.fit": [("rowing", 6300.0)],
    "sailing.fit": [("sailing", 10800.0)],
    "open-water.fit": [("swimming", 1620.0)],
    "ski.fit": [("cross_country_skiing", 8100.0)],
    "treadmill.fit": [("fitness_equipment", 3240.0)],
    "e-bike.fit": [("e_biking", 13200.0)],
    "gravel.fit": [("cycling", 15600.0)],
    "spin.fit": [("fitness_equipment", 14400.0)],
    "triathlon.fit": [
        ("swimming", 900.0),
        ("transition", 120.0),
        ("cycling", 21600.0),
        ("transition", 60.0),
        ("running", 4800.0),
    ],
    "run-ride-run.fit": [("running", 4200.0), ("cycling", 20400.0), ("running", 2880.0)],
    "ride-paddle-ride.fit": [("cycling", 9000.0), ("paddling", 3600.0), ("cycling", 8100.0)],
}
