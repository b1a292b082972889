"""pinchbolt serve: opens the bench book on this machine, or to the tablets of the workshop."""

from typing import Annotated

import typer

from pinchbolt.cli.answering import say
from pinchbolt.values.wording import worded


def serve(
    network: Annotated[
        bool, typer.Option("--network", help=worded("Open it to tablets in the workshop's own network."))
    ] = False,
    demo: Annotated[
        bool,
        typer.Option(
            "--demo", help=worded("The invented workshop, in a home folder of its own beside yours.")
        ),
    ] = False,
    port: Annotated[int, typer.Option(help=worded("Port."), min=1, max=65535)] = 8010,
) -> None:
    """Open the bench book; in a new home folder it begins with two doors: look around, or open your own."""
    from pinchbolt.serving.server import serve as start

    start(port=port, network=network, demo=demo, say=say)
