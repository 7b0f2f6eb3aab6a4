"""The application."""

from django.apps import AppConfig


class PartsConfig(AppConfig):
    name = "parts"
    verbose_name = "Bedplate"

    def ready(self):
        import pillow_heif
        from django.urls import register_converter

        from .record.views.converters import RowNumber

        register_converter(RowNumber, "row")
        pillow_heif.register_heif_opener()
