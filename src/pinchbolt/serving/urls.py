"""All addresses: the bench at the root, the JSON door below /api/."""

from django.urls import include, path

urlpatterns: list[object] = [
    path("", include("pinchbolt.bench.urls")),
]

handler400 = "pinchbolt.bench.refusals.view.bad_request"
handler403 = "pinchbolt.bench.refusals.view.forbidden"
handler404 = "pinchbolt.bench.refusals.view.not_found"
handler500 = "pinchbolt.bench.refusals.view.fault"
