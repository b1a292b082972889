"""All addresses: the bench at the root, the JSON door below /api/."""

from django.urls import include, path

urlpatterns: list[object] = [
    path("", include("pinchbolt.bench.urls")),
]
