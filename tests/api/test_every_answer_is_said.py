"""The description of the JSON door says of every operation what it answers: an operation that nobody described fails here."""

from pinchbolt.api.json_door import api


def test_every_operation_says_what_it_answers() -> None:
    """By a schema of its own, or as a PDF; an empty schema would tell a program that reads it nothing."""
    described = api.get_openapi_schema(path_prefix="/api/")
    operations = [one for path in described["paths"].values() for one in path.values()]
    assert len(operations) > 60
    silent = [
        one["operationId"]
        for one in operations
        if not any(
            kind.get("schema") not in ({}, None, {"title": "Response"})
            for kind in one["responses"][200]["content"].values()
        )
    ]
    assert silent == []
