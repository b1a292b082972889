"""Recordings made by an open writer that is not ours: several sports, walks, runs, water, an e-bike, rollers.

pip install --target FOLDER fit-tool==0.9.16, then PYTHONPATH=FOLDER python tests/engines/rides/samples/write_samples.py
"""

from datetime import UTC, datetime
from pathlib import Path

from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.activity_message import ActivityMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import Event, FileType, Manufacturer, Sport, SubSport

HERE = Path(__file__).parent
START = round(datetime(2026, 5, 9, 7, 30, tzinfo=UTC).timestamp() * 1000)
STEP_S = 10

# Each leg: sport, branch, metres a second, seconds.
Leg = tuple[Sport, SubSport, float, int]
ONE_SPORT: dict[str, Leg] = {
    "walk.fit": (Sport.WALKING, SubSport.GENERIC, 1.4, 1800),
    "hike.fit": (Sport.HIKING, SubSport.GENERIC, 1.1, 2400),
    "trail-run.fit": (Sport.RUNNING, SubSport.TRAIL, 2.8, 1500),
    "kayak.fit": (Sport.KAYAKING, SubSport.GENERIC, 2.0, 1800),
    "stand-up-paddle.fit": (Sport.STAND_UP_PADDLEBOARDING, SubSport.GENERIC, 1.3, 1800),
    "rowing.fit": (Sport.ROWING, SubSport.GENERIC, 3.5, 1800),
    "sailing.fit": (Sport.SAILING, SubSport.GENERIC, 3.0, 3600),
    "open-water.fit": (Sport.SWIMMING, SubSport.OPEN_WATER, 0.9, 1800),
    "ski.fit": (Sport.CROSS_COUNTRY_SKIING, SubSport.SKATE_SKIING, 4.5, 1800),
    "treadmill.fit": (Sport.FITNESS_EQUIPMENT, SubSport.TREADMILL, 2.7, 1200),
    "e-bike.fit": (Sport.E_BIKING, SubSport.E_BIKE_MOUNTAIN, 5.5, 2400),
    "gravel.fit": (Sport.CYCLING, SubSport.GRAVEL_CYCLING, 6.5, 2400),
    "spin.fit": (Sport.FITNESS_EQUIPMENT, SubSport.INDOOR_CYCLING, 8.0, 1800),
}
SEVERAL: dict[str, list[Leg]] = {
    "triathlon.fit": [
        (Sport.SWIMMING, SubSport.OPEN_WATER, 1.0, 900),
        (Sport.TRANSITION, SubSport.SWIM_TO_BIKE_TRANSITION, 1.0, 120),
        (Sport.CYCLING, SubSport.ROAD, 9.0, 2400),
        (Sport.TRANSITION, SubSport.BIKE_TO_RUN_TRANSITION, 1.0, 60),
        (Sport.RUNNING, SubSport.GENERIC, 3.2, 1500),
    ],
    "run-ride-run.fit": [
        (Sport.RUNNING, SubSport.STREET, 3.5, 1200),
        (Sport.CYCLING, SubSport.ROAD, 8.5, 2400),
        (Sport.RUNNING, SubSport.STREET, 3.2, 900),
    ],
    "ride-paddle-ride.fit": [
        (Sport.CYCLING, SubSport.MOUNTAIN, 5.0, 1800),
        (Sport.PADDLING, SubSport.GENERIC, 2.0, 1800),
        (Sport.CYCLING, SubSport.MOUNTAIN, 4.5, 1800),
    ],
}


def written(legs: list[Leg]) -> bytes:
    """One recording: the count of metres goes on from leg to leg, each leg has its own total."""
    builder = FitFileBuilder(auto_define=True, min_string_size=8)
    about = FileIdMessage()
    about.type = FileType.ACTIVITY
    about.manufacturer = Manufacturer.DEVELOPMENT.value
    about.product, about.serial_number, about.time_created = 1, 4711, START
    builder.add(about)
    at, count, sessions = START, 0.0, []
    for number, (sport, branch, speed, seconds) in enumerate(legs):
        began, before = at, count
        for second in range(0, seconds + 1, STEP_S):
            record = RecordMessage()
            record.timestamp, record.distance = began + second * 1000, before + speed * second
            builder.add(record)
        at, count = began + seconds * 1000, before + speed * seconds
        session = SessionMessage()
        session.message_index, session.timestamp, session.start_time = number, at, began
        session.event = Event.SESSION
        session.sport, session.sub_sport = sport, branch
        session.total_elapsed_time = session.total_timer_time = float(seconds)
        session.total_distance = speed * seconds
        sessions.append(session)
    for session in sessions:
        builder.add(session)
    end = ActivityMessage()
    end.timestamp, end.num_sessions, end.total_timer_time = at, len(legs), (at - START) / 1000
    builder.add(end)
    return bytes(builder.build().to_bytes())


if __name__ == "__main__":
    for name, legs in ({name: [leg] for name, leg in ONE_SPORT.items()} | SEVERAL).items():
        (HERE / name).write_bytes(written(legs))
