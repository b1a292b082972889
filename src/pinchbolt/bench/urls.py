"""Addresses of the screens."""

urlpatterns: list[object] = []
