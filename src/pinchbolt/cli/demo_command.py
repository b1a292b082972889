"""pinchbolt demo: the invented workshop in an empty home folder."""

from pinchbolt.cli.answering import AsJson, answer


def demo(as_json: AsJson = False) -> None:
    """Load the invented workshop into an empty home folder: people, twelve bikes, a year of work."""
    from pinchbolt.cli.starting import load, now

    load()
    from pinchbolt.serving.migrating import migrate
    from pinchbolt.workshop.demo import SIGN_IN_WORDS, load_demo

    migrate()
    bikes = load_demo(now())
    lines = [f"The invented workshop is loaded: {bikes} bikes. Open it with: pinchbolt serve", *SIGN_IN_WORDS]
    answer({"bikes": bikes, "sign_in": list(SIGN_IN_WORDS)}, lines, as_json=as_json)
