"""The demo workshop: an invented place with invented people, twelve bikes and a year of work. It is no source for anything."""

from pinchbolt.workshop.demo.load import DemoLoaded, InventedPerson, load_demo

__all__ = ["DemoLoaded", "InventedPerson", "load_demo"]
