"""All addresses: the bench at the root with its sheets below /paper/, the JSON door below /api/."""

from django.urls import include, path

from pinchbolt.api import api

urlpatterns: list[object] = [
    path("api/", api.urls),
    path("", include("pinchbolt.bench.urls")),
]

handler400 = "pinchbolt.bench.refusals.view.bad_request"
handler403 = "pinchbolt.bench.refusals.view.forbidden"
handler404 = "pinchbolt.bench.refusals.view.not_found"
handler500 = "pinchbolt.bench.refusals.view.fault"
