"""What is entered on the safety list."""

from django import forms

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.leaving.sign_off import LookRequest, ReopenRequest
from pinchbolt.workshop.stays.not_seen import LeaveUnseenRequest


class SafetyLookForm(BenchForm):
    """Items that were looked at: met, or not with words; a second look by other eyes, or by the same after a break."""

    words = Words(worded("What is not right, or why it could not be seen"))
    not_met = forms.BooleanField(required=False)
    unseen = forms.BooleanField(required=False)
    second = forms.BooleanField(required=False)
    after_break = forms.BooleanField(required=False)

    @property
    def items(self) -> tuple[str, ...]:
        """The items that were ticked."""
        listed = getattr(self.data, "getlist", None)
        return tuple(str(item) for item in listed("item")) if listed else ()

    def asked(self, job: int) -> LookRequest:
        """Return it as the use case takes it."""
        said = self.checked()
        return LookRequest(
            job,
            self.items,
            not (said["not_met"] or said["unseen"]),
            said["second"],
            said["after_break"],
            said["words"],
            said["unseen"],
        )


class LeaveUnseenForm(BenchForm):
    """Looks without which the bike leaves, and why."""

    words = Words(worded("What stood in the way"))

    @property
    def looks(self) -> tuple[int, ...]:
        """The looks that were ticked."""
        listed = getattr(self.data, "getlist", None)
        return tuple(int(one) for one in listed("look") if one.isdecimal()) if listed else ()

    def asked(self, job: int) -> LeaveUnseenRequest:
        """Return it as the use case takes it."""
        return LeaveUnseenRequest(job, self.looks, self.checked()["words"])


class ReopenForm(BenchForm):
    """Why the job is opened again."""

    words = Words(worded("Why it is opened again"))

    def asked(self, job: int) -> ReopenRequest:
        """Return it as the use case takes it."""
        return ReopenRequest(job, self.checked()["words"])
