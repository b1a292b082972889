"""Each way out: its title, its form, its one button, what it does and where it leads."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.http import HttpResponse

from pinchbolt.bench.act import ActMark
from pinchbolt.bench.addresses import back_to, see
from pinchbolt.bench.came_up import came_up_form as forms
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.battery import SWOLLEN, is_swollen
from pinchbolt.workshop.came_up.bike_tags import TagFoundRequest, TagLostRequest, find_tag, lose_tag
from pinchbolt.workshop.came_up.call_off import CallOffRequest, UnfinishedRequest, call_off, end_unfinished
from pinchbolt.workshop.came_up.come_back import CameBackRequest, come_back
from pinchbolt.workshop.came_up.found_on_stand import FoundOnStandRequest, find_on_stand
from pinchbolt.workshop.came_up.move_bike import (
    BatteryGoneRequest,
    MoveBikeRequest,
    SwollenRequest,
    battery_gone,
    find_swollen,
    move_bike,
)
from pinchbolt.workshop.came_up.not_collected import (
    NotCollectedRequest,
    RemindRequest,
    end_not_collected,
    next_due,
    remind,
)
from pinchbolt.workshop.came_up.split_job import SplitRequest, TakeUpRequest, split_job, take_up
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.leaving.hand_over import CollectorRequest, name_collector
from pinchbolt.workshop.stays.ask_together import TogetherRequest, ask_together
from pinchbolt.workshop.stays.give_discount import DiscountRequest, give_discount
from pinchbolt.workshop.stays.hand_on import HandOnRequest, hand_on
from pinchbolt.workshop.stays.own_lines import (
    MinutesRequest,
    OwnLineRequest,
    WorkPriceRequest,
    own_line,
    set_minutes,
    set_work_price,
)
from pinchbolt.workshop.stays.owner_texts import NotReachedRequest, try_owner
from pinchbolt.workshop.stays.promise import PromiseRequest, ToldRequest, promise, tell_owner
from pinchbolt.workshop.stays.ring_first import RingFirstRequest, ring_first, rings_first
from pinchbolt.workshop.stays.say_limit import LimitRequest, say_limit
from pinchbolt.workshop.stays.standing import standing_of
from pinchbolt.workshop.stays.start_work import AsideRequest, StandRequest, put_on_stand, set_aside
from pinchbolt.workshop.stays.who_pays import PaidByRequest, say_who_pays

Do = Callable[..., HttpResponse]


@dataclass(frozen=True, slots=True)
class WayDoor:
    """A way out. `words` stand above the form; `may_wait`: it may be done without signal and sent later."""

    title: str
    form: type[forms.CameUpForm]
    button: str
    do: Do
    words: str = ""
    may_wait: bool = False


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 12 else 0


def _promise(form: forms.PromiseForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    promise(PromiseRequest(job, form.moment(), said["why"], said["told"] or "not yet", form.odds()), **mark)
    return back_to("came_up", job=job)


def _told(form: forms.HowForm, job: int, mark: ActMark) -> HttpResponse:
    tell_owner(ToldRequest(job, form.checked()["how"]), **mark)
    return back_to("came_up", job=job)


def _tried(form: forms.TriedForm, job: int, mark: ActMark) -> HttpResponse:
    try_owner(NotReachedRequest(job, form.checked()["how"]), **mark)
    return back_to("came_up", job=job)


def _limit(form: forms.LimitOfJobForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    say_limit(LimitRequest(job, said["limit"], said["words"]), **mark)
    return back_to("came_up", job=job)


def _hand_on(form: forms.HandOnForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    hand_on(HandOnRequest(job, _number(said["to"]), said["note"]), **mark)
    return back_to("work", job=job)


def _found(form: forms.FoundOnStandForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    find_on_stand(
        FoundOnStandRequest(
            job, said["words"], said["verdict"], said["operation"], said["place"], said["ask"] != "later"
        ),
        **mark,
    )
    return back_to("estimate", job=job, at="answers")


def _not_done(form: forms.LineForm, job: int, mark: ActMark) -> HttpResponse:
    line = _number(form.checked()["line"])
    done = standing_of(job_by_id(job)).done.get(line)
    if done is None:
        raise NotPossibleNow(worded("No line was chosen, or it is not done: choose one that is."))
    undo_act(UndoRequest(job, done.event), **mark)
    return back_to("work", job=job, at=f"line-{line}")


def _battery(form: forms.BatteryForm, job: int, mark: ActMark) -> HttpResponse:
    said, swollen = form.checked(), is_swollen(job_by_id(job).bike)
    form.refuse_if_turned(swollen)
    if swollen:
        battery_gone(BatteryGoneRequest(job, said["words"], said["was_sound"]), **mark)
    else:
        find_swollen(SwollenRequest(job, said["words"]), **mark)
    return back_to("came_up", job=job)


def _ring(form: forms.RingForm, job: int, mark: ActMark) -> HttpResponse:
    form.refuse_if_turned(rings_first(job_by_id(job)))
    ring_first(RingFirstRequest(job, form.checked()["ring"] == "yes"), **mark)
    return back_to("came_up", job=job)


def _collector(form: forms.CollectorForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    name_collector(CollectorRequest(job, said["name"], said["how_known"]), **mark)
    return back_to("came_up", job=job)


def _move(form: forms.MoveForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    to = said["to"]
    if to.startswith("stand "):
        put_on_stand(StandRequest(job, _number(to[6:])), **mark)
    elif to in ("owner", "part"):
        set_aside(AsideRequest(job, to, said["words"]), **mark)
    else:
        move_bike(MoveBikeRequest(job, to, said["words"], said["tried"]), **mark)
    return see("shop_day")


def _tag(form: forms.TagForm, job: int, mark: ActMark) -> HttpResponse:
    what = form.checked()["what"]
    if what == "found":
        find_tag(TagFoundRequest(job), **mark)
    else:
        lose_tag(TagLostRequest(job, new=what == "new"), **mark)
    return back_to("came_up", job=job)


def _nobody(form: forms.NobodyForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    step = next_due(job_by_id(job), mark["now"])
    if step is not None:
        remind(RemindRequest(job, step.name, said.get("how", "")), **mark)
    else:
        end_not_collected(NotCollectedRequest(job, said.get("end", ""), said.get("words", "")), **mark)
    return back_to("came_up", job=job)


def _came_back(form: forms.CameBackForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    return see("looks", job=come_back(CameBackRequest(job, said["cause"], said["words"]), **mark))


def _who_pays(form: forms.WhoPaysForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    line = _number(said["line"])
    say_who_pays(PaidByRequest(job, line, said["payer"], said["reason"]), **mark)
    return back_to("estimate", job=job, at=f"line-{line}")


def _discount(form: forms.DiscountForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    give_discount(DiscountRequest(job, said["kind"], said["reason"], form.share(), said["amount"]), **mark)
    return back_to("estimate", job=job, at="answers")


def _unfinished(form: forms.UnfinishedForm, job: int, mark: ActMark) -> HttpResponse:
    end_unfinished(UnfinishedRequest(job, form.checked()["how"]), **mark)
    return back_to("handover", job=job)


def _call_off(form: forms.CallOffForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    call_off(CallOffRequest(job, said["reason"], said["words"], said["readings"] or "of this bike"), **mark)
    return back_to("came_up", job=job)


def _own_line(form: forms.OwnLineForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    asked = OwnLineRequest(job, said["words"], said["minutes"], said["price"], (), said["place"])
    return back_to("estimate", job=job, at=f"line-{own_line(asked, **mark).line}")


def _minutes(form: forms.MinutesForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    new = set_minutes(MinutesRequest(job, _number(said["line"]), said["minutes"]), **mark)
    return back_to("estimate", job=job, at=f"line-{new.line}")


def _work_price(form: forms.WorkPriceForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    asked = WorkPriceRequest(job, _number(said["line"]), said["price"], said["reason"])
    return back_to("estimate", job=job, at=f"line-{set_work_price(asked, **mark).line}")


def _split(form: forms.SplitForm, job: int, mark: ActMark) -> HttpResponse:
    said = form.checked()
    if said["day"] is None:
        sentence = worded("No day was chosen: about when should the bike be back?")
        raise InputRefused(sentence, {"day": sentence})
    split_job(SplitRequest(job, form.lines(), said["day"], said["words"], said["untouched"]), **mark)
    return back_to("work", job=job)


def _take_up(form: forms.CameUpForm, job: int, mark: ActMark) -> HttpResponse:
    take_up(TakeUpRequest(job), **mark)
    return back_to("estimate", job=job, at="lines")


def _together(form: forms.TogetherForm, job: int, mark: ActMark) -> HttpResponse:
    ask_together(TogetherRequest(job, form.checked()["limit"]), **mark)
    return back_to("estimate", job=job, at="answers")


DOORS: Mapping[str, WayDoor] = {
    "found": WayDoor(worded("Another fault found"), forms.FoundOnStandForm, "save", _found, worded("Agreed work goes on.")),
    "own-line": WayDoor(
        worded("A line of our own"), forms.OwnLineForm, worded("put it on"), _own_line, worded("Words, then minutes or a price.")
    ),
    "minutes": WayDoor(worded("Labour minutes of a line"), forms.MinutesForm, worded("set them"), _minutes),
    "work-price": WayDoor(
        worded("The price of a line's work"), forms.WorkPriceForm, worded("set it"), _work_price,
        worded("With tax, without its parts; its minutes stay."),
    ),
    "not-done": WayDoor(worded("I did not do it after all"), forms.LineForm, worded("not done"), _not_done),
    "split": WayDoor(
        worded("The rest another day"), forms.SplitForm, worded("put them off"), _split,
        worded("This job ends without them. Their parts stay ordered, and their price holds as it "
"was told."),
    ),
    "take-up": WayDoor(
        worded("The rest of the stay before"), forms.CameUpForm, worded("take it up"), _take_up,
        worded("What was put off goes on as agreed. If its price ran out, ask again."),
    ),
    "hand-on": WayDoor(worded("Somebody else goes on"), forms.HandOnForm, worded("hand it on"), _hand_on, may_wait=True),
    "swollen": WayDoor(worded("The battery"), forms.BatteryForm, "save", _battery, SWOLLEN),
    "tried": WayDoor(worded("Tried, no answer"), forms.TriedForm, worded("tried, no answer"), _tried),
    "limit": WayDoor(worded("The limit without a call"), forms.LimitOfJobForm, worded("the owner said so"), _limit),
    "ask-together": WayDoor(
        worded("Ask about their bikes together"), forms.TogetherForm, "ask the owner", _together,
        worded("One question and one paper about all their bikes here; each line is answered by "
"itself, and the limit counts all of them."),
    ),
    "ring-first": WayDoor(worded("Ring before the work starts"), forms.RingForm, "save", _ring),
    "told": WayDoor(worded("Told of the new promise"), forms.HowForm, worded("they know"), _told),
    "collector": WayDoor(
        worded("Somebody else collects"), forms.CollectorForm, "save", _collector, worded("Look at an ID, never copy it.")
    ),
    "promise": WayDoor(worded("A new promise"), forms.PromiseForm, worded("promise it"), _promise),
    "move": WayDoor(worded("Move the bike"), forms.MoveForm, worded("move it"), _move),
    "tag": WayDoor(worded("The hang tag"), forms.TagForm, "save", _tag),
    "nobody": WayDoor(
        worded("Nobody collects it"), forms.NobodyForm, worded("it was done"), _nobody,
        worded("The law of your country rules here; these steps are the workshop's own."),
    ),
    "came-back": WayDoor(worded("It came back"), forms.CameBackForm, worded("check it in"), _came_back),
    "who-pays": WayDoor(worded("Who pays for a line"), forms.WhoPaysForm, "save", _who_pays, worded("What it really costs is kept.")),
    "discount": WayDoor(worded("Discount or goodwill"), forms.DiscountForm, worded("take it off"), _discount),
    "unfinished": WayDoor(
        worded("The owner takes it back unfinished"), forms.UnfinishedForm, worded("end the open lines"), _unfinished,
        worded("The safety list still asks; what is open is closed, or the bike leaves as unsafe."),
    ),
    "call-off": WayDoor(
        worded("Call the job off"), forms.CallOffForm, worded("call it off"), _call_off, worded("No bill, no call-back; the stand is free.")
    ),
}  # fmt: skip
