"""pinchbolt serve: opens the bench book on this machine, or to the tablets of the workshop."""

from typing import Annotated

import typer


def serve(
    network: Annotated[
        bool, typer.Option("--network", help="Open it to tablets in the workshop's own network.")
    ] = False,
    port: Annotated[int, typer.Option(help="Port.", min=1, max=65535)] = 8010,
) -> None:
    """Open the bench book; loads the invented workshop where the home folder is new."""
    from pinchbolt.serving.server import serve as start

    start(port=port, network=network, say=typer.echo)
