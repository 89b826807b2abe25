"""The station as a Django application."""

from django.apps import AppConfig


class StationConfig(AppConfig):
    """The station."""

    name = "haulbook.station"
    label = "station"
    verbose_name = "station"
