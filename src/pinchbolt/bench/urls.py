"""Addresses of the screens."""

from django.urls import URLPattern, URLResolver, include, path

from pinchbolt.bench.asking_back import asking_back_screen as asking
from pinchbolt.bench.bike.bike_screen import as_shown, bike, by_hang_tag
from pinchbolt.bench.bins import bins_screen as in_bins
from pinchbolt.bench.bolt_round import bolt_round_screen as rounds
from pinchbolt.bench.build import build_screen as build
from pinchbolt.bench.build import part_screen as part_of_build
from pinchbolt.bench.chain_length.chain_length_screen import chain_length
from pinchbolt.bench.check_in.check_in_screen import check_in
from pinchbolt.bench.claims import claims_screen as claiming
from pinchbolt.bench.day_ahead import day_ahead_screen as ahead
from pinchbolt.bench.find.find_screen import find
from pinchbolt.bench.fit.fit_screen import fit
from pinchbolt.bench.gauge_check import gauge_check_screen as gauge
from pinchbolt.bench.gears.gears_screen import gears
from pinchbolt.bench.how_well.how_well_screen import how_well, how_well_file
from pinchbolt.bench.job_sheet.job_sheet_screen import job_sheet
from pinchbolt.bench.keeping import keeping_screen as all_out
from pinchbolt.bench.kit.kit_screen import kit
from pinchbolt.bench.marking_photo.marking_photo_screen import proof
from pinchbolt.bench.meters import meters_screen as meter
from pinchbolt.bench.on_paper.on_paper_screen import (
    bill_paper,
    bolt_round_sheet,
    claim_paper,
    hang_tag,
    home_tools_sheet,
    sheet,
    wheel_paper,
)
from pinchbolt.bench.open_days import open_days_screen as days
from pinchbolt.bench.opening import bring_back_screen as coming_back
from pinchbolt.bench.opening import opening_screen as opening
from pinchbolt.bench.ordering import ordering_screen as ordering
from pinchbolt.bench.owners import erase_screen as erasing
from pinchbolt.bench.owners import give_over_screen as giving
from pinchbolt.bench.owners import owners_screen as owners
from pinchbolt.bench.parts_wanted import parts_wanted_screen as wanted
from pinchbolt.bench.people.people_screen import (
    change,
    comes_back,
    leave,
    new_passphrase,
    new_person,
    new_pin,
    people,
)
from pinchbolt.bench.prices import prices_screen as pricing
from pinchbolt.bench.rides.rides_screen import (
    back,
    display,
    files,
    own_bike,
    own_trainer,
    own_wheels,
    place,
    rides,
    said,
    since,
    wheels_on,
)
from pinchbolt.bench.rows import rows_screen as rows
from pinchbolt.bench.safe_keeping import safe_keeping_screen as keeping
from pinchbolt.bench.sealed import sealed_screen as sealing
from pinchbolt.bench.settings import settings_screen as of_shop
from pinchbolt.bench.shop_day.shop_day_screen import shop_day
from pinchbolt.bench.shop_terms import shop_terms_screen as shop
from pinchbolt.bench.sign_in.sign_in_screen import sign_in, sign_out, switch
from pinchbolt.bench.swap import swap_screen as swapping
from pinchbolt.bench.tablets import tablets_screen as tablet
from pinchbolt.bench.theme import theme
from pinchbolt.bench.tool_board.tool_board_screen import hang, hang_ticked, tool_board
from pinchbolt.bench.tool_check import tool_check_screen as tool
from pinchbolt.bench.tyre.tyre_screen import tyre
from pinchbolt.bench.unsent.unsent_screen import unsent
from pinchbolt.bench.words import words_screen as wording

urlpatterns: list[URLPattern | URLResolver] = [
    path("", shop_day, name="shop_day"),
    path("open/", opening.two_doors, name="two_doors"),
    path("open/own/", opening.open_own, name="open_own"),
    path("open/back/", coming_back.bring_back, name="workshop_back"),
    path("open/look-around/", opening.look_around, name="look_around"),
    path("open/looking-around/", opening.looking_around, name="looking_around"),
    path("day/", ahead.day_ahead, name="day_ahead"),
    path("day/how-well/", how_well, name="how_well"),
    path("day/how-well.csv", how_well_file, name="how_well_file"),
    # Put into calendars: it never moves.
    path("calendar/<str:whose>/<str:mark>.ics", ahead.calendar_feed, name="calendar_feed"),
    path("settings/", of_shop.settings, name="settings"),
    path("settings/undo/", of_shop.undo, name="undo_setting"),
    path("settings/shop/", shop.shop_terms, name="shop_terms"),
    path("settings/shop/change/", shop.change_shop, name="change_shop"),
    path("settings/shop/tax/", shop.change_tax, name="change_tax"),
    path("settings/days/", days.open_days, name="open_days"),
    path("settings/days/change/", days.change_days, name="change_days"),
    path("settings/days/closed/", days.close, name="close_days"),
    path("settings/days/odds/", days.change_odds, name="change_odds"),
    path("settings/days/calendars/", days.new_addresses, name="change_addresses"),
    path("settings/days/hours/", days.change_hours, name="change_hours"),
    path("settings/days/away/", days.away, name="person_away"),
    path("settings/prices/", pricing.prices, name="prices"),
    path("settings/prices/labour/", pricing.change_labour, name="change_labour"),
    path("settings/prices/fill/", pricing.fill, name="fill_prices"),
    path("settings/prices/own-operation/", pricing.own_operation, name="own_operation"),
    path("settings/limits/", rows.limits, name="limits"),
    path("settings/limits/read-again/", rows.read_again, name="read_again"),
    path("settings/limits/change-point/", rows.school, name="change_school"),
    path("settings/row/<slug:table>/<str:id>/", rows.row, name="row"),
    path("settings/row/<slug:table>/<str:id>/save/", rows.save_row, name="save_row"),
    path("settings/row/<slug:table>/<str:id>/as-trade/", rows.row_as_trade, name="row_as_trade"),
    path("settings/row/<slug:table>/<str:id>/try/", rows.try_row, name="try_row"),
    path("settings/words/", wording.words, name="words"),
    path("settings/words/change/", wording.change_words, name="change_words"),
    path("settings/tablets/", tablet.tablets, name="tablets"),
    path("settings/tablets/name/", tablet.name_tablet, name="name_tablet"),
    path("settings/tablets/end/", tablet.end, name="end_tablet"),
    path("settings/tablets/token/", tablet.make, name="make_token"),
    path("settings/tablets/token/end/", tablet.token_ends, name="end_token"),
    path("settings/safe-keeping/", keeping.safe_keeping, name="safe_keeping"),
    path("settings/safe-keeping/copy/", keeping.copy_now, name="copy_now"),
    path("settings/safe-keeping/place/", keeping.change_place, name="change_place"),
    path("settings/safe-keeping/first-list/", keeping.first_list_away, name="first_list_away"),
    path("sealed/", sealing.sealed, name="sealed"),
    path("SEALED/", sealing.by_camera, name="sealed_by_camera"),
    path("sealed/authority.crt", sealing.authority, name="authority"),
    path("sign-in/", sign_in, name="sign_in"),
    path("switch/", switch, name="switch"),
    path("sign-out/", sign_out, name="sign_out"),
    path("look/", theme, name="theme"),
    path("unsent/", unsent, name="unsent"),
    path("find/", find, name="find"),
    path("bike/<str:tag>/owners/", giving.bike_owners, name="bike_owners"),
    path("bike/<str:tag>/owners/give-over/", giving.give, name="give_over"),
    path("bike/<str:tag>/owners/undo/", giving.take_giving_back, name="undo_give_over"),
    path("owner/<int:owner>/", owners.owner, name="owner"),
    path("owner/<int:owner>/change/", owners.change, name="change_owner"),
    path("owner/<int:owner>/consent/", owners.consent, name="say_consent"),
    path("owner/<int:owner>/bike/", owners.bike_of_owner, name="bike_of_owner"),
    path("owner/<int:owner>/apart/", owners.apart, name="told_apart"),
    path("owner/<int:owner>/held/", erasing.held, name="what_we_hold"),
    path("owner/<int:owner>/erase/", erasing.erasing, name="erase_page"),
    path("owner/<int:owner>/erase/for-good/", erasing.erase, name="erase_owner"),
    path("owner/<int:owner>/merge/", owners.merging, name="merge_page"),
    path("owner/<int:owner>/merge/keep/", owners.merge, name="merge_owners"),
    path("owner/<int:owner>/merge/undo/", owners.take_apart, name="undo_merge"),
    path("check-in/", check_in, name="check_in"),
    path("check-in/days/", ahead.days_at_check_in, name="days_at_check_in"),
    path("bike/<str:tag>/", bike, name="bike"),
    path("bike/<str:tag>/as-shown/", as_shown, name="whole_bike_as_shown"),
    path("bike/<str:tag>/build/", build.build, name="build"),
    path("bike/<str:tag>/build/as-shown/", build.as_shown, name="build_as_shown"),
    path("bike/<str:tag>/build/add/", build.add, name="build_add"),
    path("bike/<str:tag>/build/part/<int:part>/", part_of_build.part, name="build_part"),
    path("bike/<str:tag>/build/part/<int:part>/describe/", part_of_build.described, name="describe_part"),
    path("bike/<str:tag>/build/part/<int:part>/mark/", part_of_build.marked, name="mark_part"),
    path("bike/<str:tag>/build/part/<int:part>/replace/", part_of_build.replaced, name="replace_part"),
    path("bike/<str:tag>/build/part/<int:part>/off/", part_of_build.taken_off, name="take_off_part"),
    path("bike/<str:tag>/build/part/<int:part>/move/", part_of_build.moved, name="move_this_part"),
    path("bike/<str:tag>/build/part/<int:part>/same/", part_of_build.same, name="same_part"),
    path("bike/<str:tag>/rides/", rides, name="rides"),
    path("bike/<str:tag>/rides/files/", files, name="ride_files"),
    path("bike/<str:tag>/rides/place/", place, name="place_rides"),
    path("bike/<str:tag>/rides/since/", since, name="on_since"),
    path("bike/<str:tag>/rides/back/", back, name="rides_back"),
    path("bike/<str:tag>/rides/said/", said, name="distance_said"),
    path("bike/<str:tag>/rides/display/", display, name="display_read"),
    path("bike/<str:tag>/rides/own-bike/", own_bike, name="own_bike"),
    path("bike/<str:tag>/rides/own-trainer/", own_trainer, name="own_trainer"),
    path("bike/<str:tag>/rides/own-wheels/", own_wheels, name="own_wheels"),
    path("bike/<str:tag>/rides/wheels-on/", wheels_on, name="wheels_on"),
    # Short and case-blind, since a hang tag's QR is smaller in capitals. These two hang on bikes: they never move.
    path("b/<str:tag>", by_hang_tag, name="by_hang_tag"),
    path("B/<str:tag>", by_hang_tag, name="by_printed_tag"),
    path("job/<int:job>/check-in/", job_sheet, name="job_sheet"),
    path("job/<int:job>/", include("pinchbolt.bench.job_urls")),
    path("paper/job/<int:job>/<slug:sheet>.pdf", sheet, name="sheet"),
    path("paper/job/<int:job>/wheel/<int:wheel>.pdf", wheel_paper, name="wheel_paper"),
    path("paper/bill/<str:number>/<slug:form>.pdf", bill_paper, name="bill_paper"),
    path("paper/proof/<int:event>.jpg", proof, name="proof_jpeg"),
    path("paper/claim/<int:claim>.pdf", claim_paper, name="claim_paper"),
    path("paper/tag/<str:tag>.pdf", hang_tag, name="hang_tag"),
    path("paper/bike/<str:tag>/bolt-round.pdf", bolt_round_sheet, name="bolt_round_sheet"),
    path("paper/bike/<str:tag>/home-tools.pdf", home_tools_sheet, name="home_tools_sheet"),
    path("bike/<str:tag>/bolt-round/", rounds.bolt_round, name="bolt_round"),
    path("bike/<str:tag>/bolt-round/told/", rounds.told, name="round_told"),
    path("bike/<str:tag>/bolt-round/<str:joint>/held/", rounds.held, name="round_held"),
    path("bike/<str:tag>/bolt-round/<str:joint>/moved/", rounds.moved, name="round_moved"),
    path("kit/", kit, name="kit"),
    path("claims/", claiming.claims_page, name="claims"),
    path("claims/<int:claim>/", claiming.claim, name="claim"),
    path("claims/<int:claim>/photo/", claiming.photo, name="claim_photo"),
    path("claims/<int:claim>/moved/", claiming.moved, name="claim_moved"),
    path("claims/<int:claim>/back/", claiming.back, name="claim_back"),
    path("claims/of/<slug:kind>/<int:number>/", claiming.thing, name="claim_thing"),
    path("claims/of/<slug:kind>/<int:number>/bought/", claiming.bought, name="bought"),
    path("claims/of/<slug:kind>/<int:number>/bought-back/", claiming.bought_back, name="bought_back"),
    path("claims/of/<slug:kind>/<int:number>/broke/", claiming.broke, name="broke"),
    path("tools/", tool_board, name="tool_board"),
    path("tools/hang/", hang, name="hang_tool"),
    path("tools/hang-several/", hang_ticked, name="hang_ticked"),
    path("tools/<int:tool>/", tool.tool_check, name="tool_check"),
    path("tools/<int:tool>/size/", tool.size, name="tool_size"),
    path("tools/<int:tool>/weight/", tool.weight, name="tool_weight"),
    path("tools/<int:tool>/calibration/", tool.calibration, name="tool_calibration"),
    path("tools/<int:tool>/look/", tool.look, name="tool_look"),
    path("tools/<int:tool>/arm/", tool.arm, name="tool_arm"),
    path("tools/gauge/<int:instrument>/", gauge.gauge_check, name="gauge_check"),
    path("tools/gauge/<int:instrument>/tried/", gauge.tried, name="gauge_tried"),
    path("tools/meters/", meter.meter_page, name="meters"),
    path("tools/meters/table/", meter.table, name="meter_table"),
    path("tools/meters/weight/", meter.weight, name="meter_weight"),
    path("gears/", gears, name="gears"),
    path("fit/", fit, name="fit"),
    path("tyre/", tyre, name="tyre_pressure"),
    path("chain-length/", chain_length, name="chain_length"),
    path("swap/", swapping.swap, name="swap"),
    path("swap/fact/", swapping.fact, name="note_fact"),
    path("swap/moved/", swapping.moved, name="move_part"),
    path("parts/", wanted.parts, name="parts"),
    path("parts/move/", wanted.move, name="move_wanted"),
    path("parts/add/", wanted.add, name="add_wanted"),
    path("parts/suppliers/", wanted.suppliers, name="suppliers"),
    path("parts/suppliers/save/", wanted.supplier, name="supplier"),
    path("parts/order/", ordering.orders, name="order_list"),
    path("parts/order/sent/", ordering.send, name="send_order"),
    path("paper/order.<slug:ending>", ordering.order_file, name="order_file"),
    path("parts/delivery/", ordering.receive, name="receive"),
    path("parts/delivery/in/", ordering.take_in, name="take_in_delivery"),
    path("parts/delivery/back/", ordering.take_back, name="take_back_delivery"),
    path("parts/marks/", ordering.marks, name="bin_marks"),
    path("parts/marks/set/", ordering.mark, name="mark_bin"),
    path("parts/sold-by/", ordering.sold, name="sold_by"),
    path("bins/stocktake/", ordering.stocktake, name="stocktake"),
    path("bins/stocktake/count/", ordering.count, name="count_scanned"),
    path("back/", asking.back, name="who_comes_back"),
    path("back/said/", asking.said, name="back_said"),
    path("back/said/back/", asking.word_back, name="back_word_back"),
    path("back/letters/", asking.letters, name="make_letters"),
    path("back/letters/sent/", asking.sent, name="letter_sent"),
    path("back/letters/out/", asking.withdrawn, name="withdraw_letter"),
    path("paper/letter/<int:letter>/", asking.letter, name="letter_file"),
    path("bins/", in_bins.bins, name="bins"),
    path("bins/count/", wanted.count, name="count_bin"),
    path("bins/file/", in_bins.parts_file, name="parts_file"),
    path("bins/take-in/", in_bins.take_in, name="take_in_parts"),
    path("keeping/", all_out.keeping, name="keeping"),
    path("keeping/everything/", all_out.everything, name="everything"),
    path("keeping/list/", all_out.list_file, name="list_file"),
    path("keeping/list/in/", all_out.list_in, name="list_in"),
    path("keeping/list/back/", all_out.list_back, name="list_back"),
    path("settings/people/", people, name="people"),
    path("settings/people/pin/", new_pin, name="new_pin"),
    path("settings/people/add/", new_person, name="new_person"),
    path("settings/people/passphrase/", new_passphrase, name="new_passphrase"),
    path("settings/people/change/", change, name="change_person"),
    path("settings/people/retire/", leave, name="retire_person"),
    path("settings/people/back/", comes_back, name="bring_back"),
]
