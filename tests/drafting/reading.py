"""Reads a PDF as a person does: its words in order."""

import os
import shutil
import subprocess

import pytest


def text_of(pdf: bytes) -> str:
    """The words of a PDF, one space between them."""
    tool = shutil.which("pdftotext")
    if tool is None:
        words = "These tests read PDFs with pdftotext: apt-get install poppler-utils"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    command = [tool, "-layout", "-enc", "UTF-8", "-", "-"]
    done = subprocess.run(command, input=pdf, capture_output=True, check=True)
    return " ".join(done.stdout.decode().split())
