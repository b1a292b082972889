"""pinchbolt demo: the invented workshop, in a home folder of its own beside the workshop's."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import AsJson, answer
from pinchbolt.values.wording import worded


def demo(
    fresh: Annotated[
        bool, typer.Option("--fresh", help=worded("Throw the old one away and load it again."))
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Load the invented workshop into a home folder of its own: people, twelve bikes, a year of work."""
    from pinchbolt.serving.home import home_folder, into_the_demo
    from pinchbolt.serving.making_demo import make_the_demo, throw_the_demo_away

    into_the_demo()
    if fresh:
        throw_the_demo_away()
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.serving.migrating import migrate

    migrate()
    bikes = make_the_demo()
    lines = [
        worded(
            "The invented workshop is loaded: {bikes} bikes, in {home_folder}.",
            bikes=bikes,
            home_folder=home_folder(),
        ),
        worded("Open it with: pinchbolt serve --demo. Who is in it stands on its sign-in page."),
    ]
    answer({"bikes": bikes, "folder": str(home_folder())}, lines, as_json=as_json)
