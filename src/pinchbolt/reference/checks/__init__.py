"""What rows must satisfy together: ranges in order, and every row that another names."""

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.checks.links import Known, links
from pinchbolt.reference.checks.ranges import ranges

__all__ = ["Complaint", "Known", "links", "ranges"]
