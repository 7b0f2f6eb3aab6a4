"""The application."""

from django.apps import AppConfig


class PartsConfig(AppConfig):
    name = "parts"
    verbose_name = "Bedplate"

    def ready(self):
        import pillow_heif

        pillow_heif.register_heif_opener()
