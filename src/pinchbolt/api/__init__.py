"""The JSON door: the same use cases, words and refusals as the screens, described by OpenAPI at its openapi.json."""

from pinchbolt.api.door import api

__all__ = ["api"]
