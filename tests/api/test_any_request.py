"""Requests that nobody thought of: made from the published description, answered as it says."""

import os
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.contrib.auth import get_user_model
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from pytest_django import DjangoDbBlocker
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from pinchbolt.api.signing_in import token_for
from pinchbolt.serving.wsgi import application
from tests import story

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]


SCHEMA = schemathesis.openapi.from_wsgi("/api/openapi.json", application)
OPERATIONS = {found.ok().label: found.ok() for found in SCHEMA.get_all_operations()}
# Of each operation: six, or its share of all that were asked for, so that no fewer are asked than was said.
ASKED = -(-int(os.environ.get("PINCHBOLT_REQUESTS", 6 * len(OPERATIONS))) // len(OPERATIONS))


@pytest.fixture(scope="module")
def told_token(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[str]:
    """Of a mechanic, with one bike in the workshop to ask about; what a request writes is rolled back after its test."""
    with django_db_blocker.unblock(), transaction.atomic():
        at_work = story.priced(story.walked_round(story.checked_in()))
        yield token_for(get_user_model().objects.get(pk=at_work.first))
        transaction.set_rollback(True)


@pytest.fixture
def token(told_token: str, db: None) -> str:
    """The token, inside a transaction of the test's own."""
    return told_token


@pytest.mark.parametrize("operation", OPERATIONS)
def test_any_request_is_answered_as_described(operation: str, token: str) -> None:
    """Never a fault of ours; status, kind and shape as the description says."""

    @given(OPERATIONS[operation].as_strategy())
    @settings(max_examples=ASKED, deadline=None, suppress_health_check=list(HealthCheck))
    def check_asked(case: Any) -> None:
        case.call_and_validate(headers={"Authorization": f"Bearer {token}"}, checks=CHECKS)

    check_asked()
