"""What a page shows: one frozen dataclass a page, whose fields and properties are the names of its template."""

from dataclasses import dataclass, fields

from pinchbolt.bench.way import JobTop


@dataclass(frozen=True, slots=True)
class Page:
    """A page; each screen says in its own what its template may name."""

    def named(self) -> dict[str, object]:
        """Return the fields, and what follows from them (properties), as the template names them."""
        follows = [name for name, what in vars(type(self)).items() if isinstance(what, property)]
        return {name: getattr(self, name) for name in (*(one.name for one in fields(self)), *follows)}


@dataclass(frozen=True, slots=True)
class JobFrame(Page):
    """What stands round every page of a job: its title, the bar, the job, and the entry that was just saved."""

    title: str
    top: JobTop
    job: int
    at: str
