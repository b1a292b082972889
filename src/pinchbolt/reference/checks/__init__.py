"""What rows must satisfy together: ranges in order, every row that another names, every condition."""

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.conditions import conditions
from pinchbolt.reference.checks.known import Known
from pinchbolt.reference.checks.links import links
from pinchbolt.reference.checks.look_rows import looks
from pinchbolt.reference.checks.ranges import ranges
from pinchbolt.reference.checks.words import words
from pinchbolt.reference.checks.work_menu import work

__all__ = ["Complaint", "Known", "conditions", "links", "looks", "ranges", "words", "work"]
