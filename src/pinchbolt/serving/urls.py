"""All addresses: the bench at the root with its sheets below /paper/, the JSON door below /api/."""

from django.urls import include, path

from pinchbolt.api import api

urlpatterns: list[object] = [
    path("api/", api.urls),
    path("", include("pinchbolt.bench.urls")),
]

handler400 = "pinchbolt.bench.refusals.refusals_screen.bad_request"
handler403 = "pinchbolt.bench.refusals.refusals_screen.forbidden"
handler404 = "pinchbolt.bench.refusals.refusals_screen.not_found"
handler500 = "pinchbolt.bench.refusals.refusals_screen.fault"
