"""The one shape of every refusal, whoever refused: the workshop, the reading of the request, or the sign-in."""

import logging
from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from ninja import NinjaAPI, Schema
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.parser import Parser

from pinchbolt.errors import PinchboltError, envelope_of
from pinchbolt.values import Json, RepeatedKey, read_json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.records_away import TROUBLE, records_away

_LOG = logging.getLogger(__name__)
NOT_SIGNED_IN = worded("Nobody is signed in: send a token from {sign_in} as 'Authorization: Bearer ...'.")
OUR_FAULT = worded(
    "Something went wrong here, and nothing was written down. Try again; if it stays, run pinchbolt doctor."
)


class Envelope(Schema):
    """A refusal: one sentence, a sentence per field where a field is at fault, and the status again."""

    error: str
    errors: dict[str, str]
    status: int


REFUSALS: Mapping[int, type[Envelope]] = dict.fromkeys(
    (400, 401, 403, 404, 409, 413, 422, 429, 503), Envelope
)
"""What every operation may answer besides 200. The description says so of each: a model a refusal would cost each start a second."""
ANSWERED: Mapping[int, object] = {200: Any}
"""`as_json` makes what a use case says itself, so that nothing is left to check."""


class OnceParser(Parser):
    """Reads a body in which no name stands twice."""

    def parse_body(self, request: HttpRequest) -> Json:
        """Return what the body says.

        Raises:
            RepeatedKey: A name stands twice in one object.
            ValueError: No sound JSON.
        """
        read: Json = read_json(request.body)
        return read


def answer_refusals(api: NinjaAPI) -> None:
    """Make *api* answer every refusal in the one shape."""

    def refused(request: HttpRequest, error: PinchboltError) -> HttpResponse:
        return api.create_response(request, error.envelope(), status=error.status)

    def not_read(request: HttpRequest, error: ValidationError) -> HttpResponse:
        return api.create_response(request, unread(error.errors), status=422)

    def not_signed_in(request: HttpRequest, _: AuthenticationError) -> HttpResponse:
        return api.create_response(
            request, envelope_of(NOT_SIGNED_IN.format(sign_in=reverse("api:sign_in")), 401), status=401
        )

    def no_such_thing(request: HttpRequest, _: Http404) -> HttpResponse:
        sentence = worded(
            "There is nothing at this address. See {reverse}.", reverse=reverse("api:openapi-json")
        )
        return api.create_response(request, envelope_of(sentence, 404), status=404)

    def no_sense(request: HttpRequest, error: HttpError) -> HttpResponse:
        if isinstance(error.__cause__, RepeatedKey):
            twice = error.__cause__
            told = envelope_of(twice.sentence, 422, {twice.key: twice.sentence})
            return api.create_response(request, told, status=422)
        sentence = (
            worded("The request is not valid JSON. Send one JSON object.")
            if error.status_code == 400
            else str(error)
        )
        return api.create_response(
            request, envelope_of(sentence, error.status_code), status=error.status_code
        )

    def our_fault(request: HttpRequest, error: Exception) -> HttpResponse:
        _LOG.error("%s %s failed", request.method, request.path, exc_info=error)
        return api.create_response(request, envelope_of(OUR_FAULT, 500), status=500)

    def away(request: HttpRequest, error: Exception) -> HttpResponse:
        _LOG.error("%s %s: %s", request.method, request.path, error)
        refusal = records_away(error)
        told = api.create_response(request, refusal.envelope(), status=refusal.status)
        told.headers["Retry-After"] = "2"
        return told

    def too_much(request: HttpRequest, _: RequestDataTooBig) -> HttpResponse:
        return api.create_response(
            request, envelope_of(worded("The request is larger than 2 MB: send less."), 413), status=413
        )

    answers: dict[type[Exception], Callable[..., HttpResponse]] = {
        Exception: our_fault,
        PinchboltError: refused,
        ValidationError: not_read,
        AuthenticationError: not_signed_in,
        Http404: no_such_thing,
        HttpError: no_sense,
        RequestDataTooBig: too_much,
        **dict.fromkeys(TROUBLE, away),
    }
    for kind, answer in answers.items():
        api.add_exception_handler(kind, answer)


def unread(faults: list[dict[str, Any]]) -> dict[str, object]:
    """Return the envelope for values that could not be read, a sentence for each field."""
    errors: dict[str, str] = {}
    for fault in faults:
        field = ".".join(
            str(step) for step in fault["loc"] if step not in ("body", "path", "query", "header", "asked")
        )
        message = str(fault["msg"]).removeprefix("Value error, ").rstrip(".")
        errors[field or "request"] = f"{field or 'request'}: {message[:1].lower()}{message[1:]}."
    first = next(iter(errors.values()), worded("The request can't be read."))
    more = worded(" {errors} more like it, see 'errors'.", errors=len(errors) - 1) if len(errors) > 1 else ""
    return envelope_of(f"{first}{more}", 422, errors)
