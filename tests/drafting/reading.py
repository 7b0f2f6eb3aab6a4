"""Reads the text of a PDF."""

import os
import shutil
import subprocess

import pytest


def text_of(pdf: bytes) -> str:
    """Return the words of a PDF in reading order, with single spaces."""
    tool = shutil.which("pdftotext")
    if tool is None:
        message = "These tests read PDFs with pdftotext: apt-get install poppler-utils"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    command = [tool, "-layout", "-enc", "UTF-8", "-", "-"]
    process = subprocess.run(command, input=pdf, capture_output=True, check=True)
    return " ".join(process.stdout.decode().split())
