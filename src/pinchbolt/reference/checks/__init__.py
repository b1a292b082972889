"""What rows must satisfy together: ranges in order, and every row that another names."""

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.known import Known
from pinchbolt.reference.checks.links import links
from pinchbolt.reference.checks.ranges import ranges
from pinchbolt.reference.checks.words import words

__all__ = ["Complaint", "Known", "links", "ranges", "words"]
