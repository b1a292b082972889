"""Every use case that writes, as one POST each: the address names the thing, the body is the use case's own dataclass."""

from collections.abc import Callable
from inspect import Parameter, Signature
from typing import Annotated, get_type_hints

from django.http import HttpRequest
from django.utils import timezone
from ninja import Body, Header, Path, Router
from pydantic import AfterValidator

from pinchbolt.api.bodies import MOST_INT, body_of, dataclass_of, writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.api_tokens import end_token
from pinchbolt.workshop.acts.money_terms import set_bill_terms, set_tax
from pinchbolt.workshop.asking_back.make_letters import make_letters, mark_sent, withdraw_letter
from pinchbolt.workshop.bikes.change_build import add_part, confirm_corner, describe, replace, take_off
from pinchbolt.workshop.bikes.mark_limit import mark_limit
from pinchbolt.workshop.bikes.move_part import move_part, put_move_right
from pinchbolt.workshop.bikes.typed_facts import note_facts
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.day.calendar import change_addresses
from pinchbolt.workshop.day.hours_in import be_away, set_hours, set_odds
from pinchbolt.workshop.leaving.back_said import say_of_call_back, take_back_word
from pinchbolt.workshop.leaving.bill import bill_again, reverse_bill
from pinchbolt.workshop.leaving.hand_over import hand_over
from pinchbolt.workshop.leaving.sign_off import look_and_list, reopen, sign_off
from pinchbolt.workshop.looks.answer_looks import answer_looks, take_back_looks
from pinchbolt.workshop.ordering.bin_marks import set_marks
from pinchbolt.workshop.ordering.send_order import send_order
from pinchbolt.workshop.owners.give_over import give_over, undo_give_over
from pinchbolt.workshop.parts.deliver import take_back_delivery, take_in_delivery
from pinchbolt.workshop.parts.sold_by import say_sold_by
from pinchbolt.workshop.parts.stocktake import count_bin
from pinchbolt.workshop.parts.suppliers import say_supplier
from pinchbolt.workshop.proof.open_claim import move_claim, open_claim, take_back_claim
from pinchbolt.workshop.proof.say_warranty import say_warranty_in_words, take_back_warranty
from pinchbolt.workshop.proof.take_back_marking import take_back_marking
from pinchbolt.workshop.rides.displays import note_display
from pinchbolt.workshop.rides.note_distance import note_distance
from pinchbolt.workshop.rides.on_since import say_since
from pinchbolt.workshop.rides.owners_things import add_own_bike, add_own_trainer, add_own_wheels
from pinchbolt.workshop.rides.place_rides import place_rides, take_back_rides
from pinchbolt.workshop.stays.agree_visit import agree_visit
from pinchbolt.workshop.stays.answer import answer
from pinchbolt.workshop.stays.check_in import check_in
from pinchbolt.workshop.stays.complaints import answer_test, close_complaint, tell_complaints
from pinchbolt.workshop.stays.measure_off import measure_off
from pinchbolt.workshop.stays.not_seen import leave_unseen, say_not_seen, see_after_all
from pinchbolt.workshop.stays.note_finding import note_finding
from pinchbolt.workshop.stays.off_the_bill import give_back, let_off
from pinchbolt.workshop.stays.owner_texts import send_text, try_owner
from pinchbolt.workshop.stays.payments import note_payment, take_back_payment
from pinchbolt.workshop.stays.price import ask_owner
from pinchbolt.workshop.stays.promise import promise, tell_owner
from pinchbolt.workshop.stays.propose import change_line, propose, withdraw
from pinchbolt.workshop.stays.say_limit import say_limit
from pinchbolt.workshop.stays.start_work import finish_line, part_arrived, put_on_stand, set_aside, start_work
from pinchbolt.workshop.stays.take_reading import take_reading
from pinchbolt.workshop.tools.arms import measure_arm
from pinchbolt.workshop.tools.check_instrument import check_instrument
from pinchbolt.workshop.tools.check_tool import check_tool, hang_tool, look_over_tool, measure_tool, try_tool
from pinchbolt.workshop.tools.tension_meter import set_meter_table, try_meter
from pinchbolt.workshop.torque.bolt_read import read_bolt
from pinchbolt.workshop.torque.bolt_round import tick_joint
from pinchbolt.workshop.torque.read_marking import read_marking
from pinchbolt.workshop.torque.record_done import record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import add_joint
from pinchbolt.workshop.wear.learn import learn
from pinchbolt.workshop.wheels.break_spoke import break_spoke
from pinchbolt.workshop.wheels.build_wheel import propose_build
from pinchbolt.workshop.wheels.describe_wheel import describe_wheel
from pinchbolt.workshop.wheels.hear_spokes import note_pitches
from pinchbolt.workshop.wheels.read_wheel import read_wheel
from pinchbolt.workshop.wheels.turn_nipple import turn_nipple

UseCase = Callable[..., object]
WRITES: tuple[tuple[str, UseCase], ...] = (
    ("/check-in", check_in),
    ("/distance", note_distance),
    ("/move", move_part),
    ("/move/{move}/day", put_move_right),
    ("/rides/place", place_rides),
    ("/rides/back", take_back_rides),
    ("/bike/{tag}/give-over", give_over),
    ("/giving-over/{giving}/back", undo_give_over),
    ("/bike/{tag}/since", say_since),
    ("/bike/{tag}/display", note_display),
    ("/bike/{tag}/own-bike", add_own_bike),
    ("/bike/{tag}/own-trainer", add_own_trainer),
    ("/bike/{tag}/own-wheels", add_own_wheels),
    ("/job/{job}/reading", take_reading),
    ("/job/{job}/looked", answer_looks),
    ("/job/{job}/looked/{card}/back", take_back_looks),
    ("/job/{job}/complaint", tell_complaints),
    ("/job/{job}/complaint/{complaint}/test/{split}", answer_test),
    ("/job/{job}/complaint/{complaint}/cause", close_complaint),
    ("/job/{job}/finding", note_finding),
    ("/job/{job}/not-seen", say_not_seen),
    ("/job/{job}/not-seen/{not_seen}/back", see_after_all),
    ("/job/{job}/leave-unseen", leave_unseen),
    ("/job/{job}/line", propose),
    ("/job/{job}/line/{line}/parts", change_line),
    ("/job/{job}/line/{line}/withdraw", withdraw),
    ("/job/{job}/ask", ask_owner),
    ("/job/{job}/answer", answer),
    ("/job/{job}/limit", say_limit),
    ("/job/{job}/visit", agree_visit),
    ("/job/{job}/tried", try_owner),
    ("/job/{job}/text", send_text),
    ("/job/{job}/line/{line}/give-back", give_back),
    ("/job/{job}/line/{line}/let-off", let_off),
    ("/job/{job}/payment", note_payment),
    ("/job/{job}/payment/{payment}/back", take_back_payment),
    ("/job/{job}/bill", bill_again),
    ("/bill/{number}/reverse", reverse_bill),
    ("/terms/bills", set_bill_terms),
    ("/terms/tax", set_tax),
    ("/job/{job}/stand", put_on_stand),
    ("/job/{job}/start", start_work),
    ("/job/{job}/aside", set_aside),
    ("/job/{job}/part-arrived", part_arrived),
    ("/job/{job}/line/{line}/done", finish_line),
    ("/job/{job}/part/{part}/measured-off", measure_off),
    ("/job/{job}/part/{part}/wheel/measured", describe_wheel),
    ("/job/{job}/part/{part}/wheel/read", read_wheel),
    ("/job/{job}/part/{part}/wheel/plucked", note_pitches),
    ("/job/{job}/part/{part}/wheel/turned", turn_nipple),
    ("/job/{job}/part/{part}/wheel/broke", break_spoke),
    ("/job/{job}/part/{part}/wheel/line", propose_build),
    ("/job/{job}/joint", add_joint),
    ("/job/{job}/joint/{joint}/done", record_done),
    ("/job/{job}/joint/{joint}/by-hand", tighten_by_hand),
    ("/bike/{tag}/facts", note_facts),
    ("/bike/{tag}/part", add_part),
    ("/bike/{tag}/confirm", confirm_corner),
    ("/part/{part}/replace", replace),
    ("/part/{part}/take-off", take_off),
    ("/part/{part}/describe", describe),
    ("/part/{part}/limit", mark_limit),
    ("/bike/{tag}/joint/{joint}/marking", read_marking),
    ("/job/{job}/marking/{marking}/back", take_back_marking),
    ("/warranties/{kind}/{id}/say", say_warranty_in_words),
    ("/warranties/{kind}/{id}/back", take_back_warranty),
    ("/claims/open/{kind}/{id}", open_claim),
    ("/claim/{claim}/move", move_claim),
    ("/claim/{claim}/back", take_back_claim),
    ("/job/{job}/look", look_and_list),
    ("/job/{job}/sign-off", sign_off),
    ("/job/{job}/reopen", reopen),
    ("/job/{job}/hand-over", hand_over),
    ("/bike/{tag}/joint/{joint}/bolt", read_bolt),
    ("/bike/{tag}/round/{joint}", tick_joint),
    ("/tool", hang_tool),
    ("/tool/{tool}/calibration", check_tool),
    ("/tool/{tool}/weight", try_tool),
    ("/tool/{tool}/size", measure_tool),
    ("/tool/{tool}/look", look_over_tool),
    ("/tool/{tool}/arm", measure_arm),
    ("/tool/{tool}/meter/table", set_meter_table),
    ("/tool/{tool}/meter/weight", try_meter),
    ("/instrument/{instrument}/check", check_instrument),
    ("/learn", learn),
    ("/parts/order/sent", send_order),
    ("/parts/delivery", take_in_delivery),
    ("/parts/delivery/{delivery}/back", take_back_delivery),
    ("/parts/sold-by", say_sold_by),
    ("/parts/supplier", say_supplier),
    ("/parts/count", count_bin),
    ("/parts/marks/set", set_marks),
    ("/bike/{tag}/call-back", say_of_call_back),
    ("/call-back/{said}/back", take_back_word),
    ("/letters/made", make_letters),
    ("/letter/{letter}/sent", mark_sent),
    ("/letter/{letter}/withdraw", withdraw_letter),
    ("/job/{job}/promise", promise),
    ("/job/{job}/told", tell_owner),
    ("/person/{sign_in}/hours", set_hours),
    ("/person/{sign_in}/away", be_away),
    ("/terms/odds", set_odds),
    ("/calendar/addresses", change_addresses),
    ("/token/{token}/end", end_token),
)
_IN_ADDRESS = {
    int: Annotated[int, Path(ge=1, le=MOST_INT)],  # type: ignore[type-arg]
    str: Annotated[str, Path(min_length=1, max_length=80), AfterValidator(writable)],  # type: ignore[type-arg]
}
KeyText = Annotated[str, AfterValidator(writable)]
KEY = Header(  # type: ignore[type-arg]
    ...,
    alias="Idempotency-Key",
    min_length=8,
    max_length=64,
    description=worded(
        "Mark of this request, made by the sender; the same mark again is the same act and changes nothing."
    ),
)

router = Router(tags=["write"])


def _view(address: str, use_case: UseCase) -> Callable[..., object]:
    """Return the operation of one use case, with a signature that says what it takes."""
    asked: type[object] = get_type_hints(use_case)["request"]
    kinds = get_type_hints(asked)
    named = [piece.strip("{}") for piece in address.split("/") if piece.startswith("{")]
    body = body_of(asked, named)

    def view(request: HttpRequest, **given: object) -> object:
        key = given.pop("key")
        told = dataclass_of(asked, given.pop("asked", None), given)
        result = use_case(told, by=request.auth.pk, key=key, now=timezone.now())  # type: ignore[attr-defined]
        return {"done": True} if result is None else as_json(result)

    taken = [Parameter("request", Parameter.POSITIONAL_OR_KEYWORD, annotation=HttpRequest)]
    taken += [Parameter(name, Parameter.KEYWORD_ONLY, annotation=_IN_ADDRESS[kinds[name]]) for name in named]
    if body is not None:
        # Where nothing must be said, no body is needed: a program of before goes on.
        must = any(field.is_required() for field in body.model_fields.values())
        kind, default = (body, Parameter.empty) if must else (body | None, None)
        annotation = Annotated[kind, Body()]  # type: ignore[valid-type]
        taken.append(Parameter("asked", Parameter.KEYWORD_ONLY, annotation=annotation, default=default))
    taken += [Parameter("key", Parameter.KEYWORD_ONLY, annotation=KeyText, default=KEY)]
    view.__signature__ = Signature(taken)  # type: ignore[attr-defined]
    view.__name__ = use_case.__name__
    view.__doc__ = use_case.__doc__
    return view


def answer_kinds() -> dict[str, object]:
    """Return what each write answers, by the name of its use case."""
    return {use_case.__name__: get_type_hints(use_case)["return"] for _, use_case in WRITES}


for _address, _use_case in WRITES:
    router.post(
        _address,
        response=ANSWERED,
        operation_id=_use_case.__name__,
        summary=(_use_case.__doc__ or "").splitlines()[0],
    )(_view(_address, _use_case))
