"""Addresses of the screens."""

from django.urls import URLPattern, URLResolver, include, path

from pinchbolt.bench.bike.view import bike, by_hang_tag
from pinchbolt.bench.check_in.view import check_in
from pinchbolt.bench.job_sheet.view import job_sheet
from pinchbolt.bench.look import look
from pinchbolt.bench.on_paper.view import hang_tag, sheet
from pinchbolt.bench.people.view import new_person, new_pin, people
from pinchbolt.bench.rides.view import files, place, rides
from pinchbolt.bench.shop_day.view import shop_day
from pinchbolt.bench.sign_in.view import sign_in, sign_out, switch
from pinchbolt.bench.tool_board.view import tool_board

urlpatterns: list[URLPattern | URLResolver] = [
    path("", shop_day, name="shop_day"),
    path("sign-in/", sign_in, name="sign_in"),
    path("switch/", switch, name="switch"),
    path("sign-out/", sign_out, name="sign_out"),
    path("look/", look, name="look"),
    path("check-in/", check_in, name="check_in"),
    path("bike/<str:tag>/", bike, name="bike"),
    path("bike/<str:tag>/rides/", rides, name="rides"),
    path("bike/<str:tag>/rides/files/", files, name="ride_files"),
    path("bike/<str:tag>/rides/place/", place, name="place_rides"),
    # Short and case-blind, since a hang tag's QR is smaller in capitals.
    path("b/<str:tag>", by_hang_tag, name="by_hang_tag"),
    path("B/<str:tag>", by_hang_tag),
    path("job/<int:job>/check-in/", job_sheet, name="job_sheet"),
    path("job/<int:job>/", include("pinchbolt.bench.job_urls")),
    path("paper/job/<int:job>/<slug:sheet>.pdf", sheet, name="sheet"),
    path("paper/tag/<str:tag>.pdf", hang_tag, name="hang_tag"),
    path("tools/", tool_board, name="tool_board"),
    path("people/", people, name="people"),
    path("people/pin/", new_pin, name="new_pin"),
    path("people/add/", new_person, name="new_person"),
]
