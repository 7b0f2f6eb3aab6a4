#!/usr/bin/env python
"""Bedplate's own commands and Django's: `python manage.py help`."""

import os
import sys


def main():
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "restoration.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit(
            "Django is not installed in this Python. Make the virtual environment first: "
            "the first command in README.md does it."
        )
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
