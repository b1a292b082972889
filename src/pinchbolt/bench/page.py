"""What a page shows: one frozen dataclass a page, whose fields are the names of its template."""

from dataclasses import dataclass, fields

from pinchbolt.bench.way import JobTop


@dataclass(frozen=True, slots=True)
class Page:
    """A page; each screen says in its own what its template may name."""

    def named(self) -> dict[str, object]:
        """Return the fields as the template names them."""
        return {one.name: getattr(self, one.name) for one in fields(self)}


@dataclass(frozen=True, slots=True)
class JobFrame(Page):
    """What stands round every page of a job: its title, the bar, the job, and the entry that was just saved."""

    title: str
    top: JobTop
    job: int
    at: str
