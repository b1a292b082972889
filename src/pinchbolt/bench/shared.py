"""What every page shows."""

from django.http import HttpRequest


def on_every_page(request: HttpRequest) -> dict[str, object]:
    """Context that every template may use."""
    return {}
