"""All addresses: the bench at the root, the JSON door below /api/, sheets below /paper/."""

from django.urls import include, path

from pinchbolt.api import api
from pinchbolt.serving.sheets import hang_tag, sheet_of_job

urlpatterns: list[object] = [
    path("api/", api.urls),
    path("paper/job/<int:job>/<str:sheet>.pdf", sheet_of_job, name="sheet_of_job"),
    path("paper/tag/<str:tag>.pdf", hang_tag, name="hang_tag"),
    path("", include("pinchbolt.bench.urls")),
]

handler400 = "pinchbolt.bench.refusals.view.bad_request"
handler403 = "pinchbolt.bench.refusals.view.forbidden"
handler404 = "pinchbolt.bench.refusals.view.not_found"
handler500 = "pinchbolt.bench.refusals.view.fault"
