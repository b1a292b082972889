"""Addresses of the screens of a job, from the walk-round to the handover."""

from django.urls import path

from pinchbolt.bench.came_up import came_up_screen as came_up
from pinchbolt.bench.change_point import change_point_screen as change_point
from pinchbolt.bench.counter import counter_screen as counter
from pinchbolt.bench.day_ahead.day_ahead_screen import days_of_job
from pinchbolt.bench.estimate import estimate_screen as estimate
from pinchbolt.bench.findings import findings_screen as findings
from pinchbolt.bench.handover import handover_screen as handover
from pinchbolt.bench.looks import looks_screen as looks
from pinchbolt.bench.marking_photo import marking_photo_screen as marking_photo
from pinchbolt.bench.money import money_screen as money
from pinchbolt.bench.parts_wanted import parts_wanted_screen as wanted
from pinchbolt.bench.photos import photos_screen as photos
from pinchbolt.bench.sign_off import sign_off_screen as sign_off
from pinchbolt.bench.torque_sheet import torque_sheet_screen as torque_sheet
from pinchbolt.bench.walk_round import walk_round_screen as walk_round
from pinchbolt.bench.wheel_build import wheel_build_screen as building
from pinchbolt.bench.wheel_sheet import wheel_sheet_screen as wheels
from pinchbolt.bench.work import work_screen as work

urlpatterns = [
    path("days/", days_of_job, name="days_of_job"),
    path("photos/", photos.photos, name="photos"),
    path("photos/taken/", photos.taken, name="photo_taken"),
    path("photos/away/", photos.away, name="photo_away"),
    path("photos/jpeg/", photos.jpeg, name="photo_jpeg"),
    path("markings/", marking_photo.marking_photo, name="marking_photo"),
    path("markings/taken/", marking_photo.taken, name="marking_taken"),
    path("markings/read/", marking_photo.read, name="marking_read"),
    path("markings/back/", marking_photo.back, name="marking_back"),
    path("parts/", wanted.job_parts, name="job_parts"),
    path("parts/want/", wanted.want, name="want_part"),
    path("came-up/", came_up.came_up, name="came_up"),
    path("came-up/undo/", came_up.undo, name="undo"),
    path("came-up/note-read/", came_up.note_read, name="note_read"),
    path("came-up/<slug:what>/", came_up.door, name="came_up_door"),
    path("looks/", looks.looks, name="looks"),
    path("looks/card/", looks.card, name="look_card"),
    path("looks/reading/", looks.measured, name="look_reading"),
    path("looks/back/", looks.take_back, name="look_back"),
    path("looks/complaint/", looks.complain, name="complain"),
    path("looks/test/", looks.tested, name="complaint_test"),
    path("looks/cause/", looks.cause, name="complaint_cause"),
    path("walk-round/", walk_round.walk_round, name="walk_round"),
    path("walk-round/reading/", walk_round.take, name="take_reading"),
    path("walk-round/mark/", walk_round.mark, name="mark_limit"),
    path("walk-round/<slug:place>/", walk_round.walk_round, name="walk_round_place"),
    path("walk-round/<slug:place>/nothing-found/", walk_round.nothing_found, name="nothing_found"),
    path("walk-round/<slug:place>/told/", walk_round.told, name="told"),
    path("walk-round/<slug:place>/as-shown/", walk_round.as_shown, name="as_shown"),
    path("walk-round/<slug:place>/found/", walk_round.found, name="found"),
    path("findings/", findings.findings, name="findings"),
    path("findings/line/", findings.put_on_estimate, name="propose"),
    path("findings/change-point/", change_point.change_point, name="change_point"),
    path("findings/counter/", counter.counter, name="counter"),
    path("estimate/", estimate.estimate, name="estimate"),
    path("estimate/ask/", estimate.ask, name="ask_owner"),
    path("estimate/answers/", estimate.answers, name="answers"),
    path("estimate/take-off/", estimate.take_off, name="take_off"),
    path("estimate/parts/", estimate.change_parts, name="change_parts"),
    path("estimate/limit/", estimate.limit, name="limit"),
    path("estimate/visit/", estimate.visit, name="visit"),
    path("estimate/give-back/", estimate.give_line_back, name="give_back"),
    path("estimate/let-off/", estimate.let_line_off, name="let_off"),
    path("estimate/tried/", estimate.tried, name="tried"),
    path("estimate/text/", estimate.text_sent, name="text_sent"),
    path("work/", work.work, name="work"),
    path("work/stand/", work.on_stand, name="on_stand"),
    path("work/aside/", work.aside, name="set_aside"),
    path("work/arrived/", work.arrived, name="part_arrived"),
    path("work/line/", work.line_done, name="line_done"),
    path("work/off/", work.measured_off, name="measured_off"),
    path("work/torque/", torque_sheet.torque_sheet, name="torque_sheet"),
    path("work/torque/add/", torque_sheet.add, name="add_joint"),
    path("work/torque/told/", torque_sheet.told, name="joint_told"),
    path("work/torque/<str:joint>/", torque_sheet.joint, name="joint"),
    path("work/torque/<str:joint>/done/", torque_sheet.done, name="done_value"),
    path("work/torque/<str:joint>/by-hand/", torque_sheet.by_hand, name="by_hand"),
    path("work/torque/<str:joint>/bolt/", torque_sheet.bolt, name="read_bolt"),
    path("work/torque/<str:joint>/marking/", torque_sheet.marking, name="read_marking"),
    path("wheels/", wheels.wheels, name="job_wheels"),
    path("wheels/<int:wheel>/", wheels.sheet, name="wheel_sheet"),
    path("wheels/<int:wheel>/measured/", wheels.measured, name="wheel_measured"),
    path("wheels/<int:wheel>/read/", wheels.read, name="wheel_read"),
    path("wheels/<int:wheel>/plucked/", wheels.plucked, name="wheel_plucked"),
    path("wheels/<int:wheel>/turned/", wheels.turned, name="wheel_turned"),
    path("wheels/<int:wheel>/broke/", wheels.broke, name="spoke_broke"),
    path("wheels/<int:wheel>/build/", building.build, name="wheel_build"),
    path("wheels/<int:wheel>/build/line/", building.put_on, name="wheel_build_line"),
    path("sign-off/", sign_off.sign_off, name="sign_off"),
    path("sign-off/looked/", sign_off.looked, name="looked"),
    path("sign-off/unseen/", sign_off.left_unseen, name="left_unseen"),
    path("sign-off/sign/", sign_off.sign, name="sign"),
    path("sign-off/as-shown/", sign_off.as_shown, name="bike_as_shown"),
    path("sign-off/open-again/", sign_off.open_again, name="open_again"),
    path("handover/", handover.handover, name="handover"),
    path("handover/leave/", handover.leave, name="leave"),
    path("money/", money.money, name="job_money"),
    path("money/note/", money.note, name="payment"),
    path("money/note-back/", money.note_back, name="payment_back"),
    path("money/reverse/", money.reverse, name="reverse_bill"),
    path("money/bill/", money.again, name="bill_again"),
]
