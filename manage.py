#!/usr/bin/env python
"""Bedplate's own commands and Django's: `python manage.py help`."""

import os
import sys


def main():
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "restoration.settings")
    from restoration.run import run

    try:
        run(sys.argv)
    except ModuleNotFoundError as missing:
        if missing.name.partition(".")[0] in ("parts", "restoration", "tests"):
            raise
        sys.exit(
            f"{missing.name} is not installed in this Python ({sys.executable}). Set up again with "
            "sh .set-up, and start the commands with .venv/bin/python."
        )


if __name__ == "__main__":
    main()
