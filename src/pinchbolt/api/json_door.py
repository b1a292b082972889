"""The JSON door put together."""

from http import HTTPStatus
from typing import Any

from django.urls import reverse
from ninja import NinjaAPI
from ninja.openapi.schema import OpenAPISchema

import pinchbolt
from pinchbolt.api import day_door, fitting, reads, signing_in, writes
from pinchbolt.api import markings_api as markings
from pinchbolt.api import ordering_api as ordering
from pinchbolt.api import proof_api as proof
from pinchbolt.api import rides_api as rides
from pinchbolt.api import wheels_api as wheels
from pinchbolt.api.bodies import answer_schema
from pinchbolt.api.envelope import REFUSALS, OnceParser, answer_refusals
from pinchbolt.values.wording import worded

_WORDS = worded(
    "The bench book of a cycle workshop. Sign in at {sign_in} and send the token as a "
    "bearer. Every write carries an Idempotency-Key. The marking on a part and its "
    "maker's instructions win over every figure."
)
_REFUSED = {"application/json": {"schema": {"$ref": "#/components/schemas/Envelope"}}}


class Door(NinjaAPI):
    """Operations as usual; what they answer is described from the use cases' own types."""

    def get_openapi_schema(
        self, *, path_prefix: str | None = None, path_params: dict[str, object] | None = None
    ) -> OpenAPISchema:
        """Return the description, with the shape of each answer filled in."""
        described = super().get_openapi_schema(path_prefix=path_prefix, path_params=path_params)
        described["info"]["description"] = _WORDS.format(sign_in=reverse("api:sign_in"))
        kinds = {
            **writes.answer_kinds(),
            **reads.ANSWERS,
            **rides.ANSWERS,
            **fitting.ANSWERS,
            **ordering.ANSWERS,
            **day_door.DAY_ANSWERS,
            **wheels.ANSWERS,
            **proof.ANSWERS,
            **markings.ANSWERS,
        }
        components = described["components"]["schemas"]
        for operations in described["paths"].values():
            for operation in operations.values():
                _describe(operation, kinds, components)
        return described


def _describe(operation: dict[str, Any], kinds: dict[str, object], components: dict[str, object]) -> None:
    name = operation["operationId"]
    good = operation["responses"][200]
    for status in REFUSALS:
        refused = {"description": HTTPStatus(status).phrase, "content": _REFUSED}
        operation["responses"].setdefault(status, refused)
    if name == "see_proof_photo":
        good["content"] = {"image/jpeg": {"schema": {"type": "string", "format": "binary"}}}
    elif name == "as_calendar":
        good["content"] = {"text/calendar": {"schema": {"type": "string"}}}
    elif name.startswith("print_"):
        good["content"] = {"application/pdf": {"schema": {"type": "string", "format": "binary"}}}
    elif name in kinds:
        kind = kinds[name]
        done = {"type": "object", "properties": {"done": {"const": True}}, "required": ["done"]}
        schema = done if kind is type(None) else answer_schema(kind, components)
        good["content"] = {"application/json": {"schema": schema}}


api = Door(
    title=worded("pinchbolt"),
    version=pinchbolt.__version__,
    auth=signing_in.Token(),
    docs_url=None,
    urls_namespace="api",
    parser=OnceParser(),
)
answer_refusals(api)
api.add_router("", signing_in.router)
api.add_router("", reads.router)
api.add_router("", writes.router)
api.add_router("", rides.router)
api.add_router("", fitting.router)
api.add_router("", ordering.router)
api.add_router("", day_door.router)
api.add_router("", wheels.router)
api.add_router("", proof.router)
api.add_router("", markings.router)
