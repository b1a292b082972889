"""The JSON door: the same use cases, words and refusals as the screens, described by OpenAPI at its openapi.json."""

from pinchbolt.api.json_door import api

__all__ = ["api"]
