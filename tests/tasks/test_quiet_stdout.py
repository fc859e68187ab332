"""What compiled code prints by itself never lands among the data."""

from __future__ import annotations

import os

import pytest

from rfq.tasks.quiet import nothing_printed


def test_the_file_descriptor_is_silent_and_comes_back(capfd: pytest.CaptureFixture[str]) -> None:
    os.write(1, b"before ")
    with nothing_printed():
        os.write(1, b"chatter ")
    os.write(1, b"after")
    assert capfd.readouterr().out == "before after"


def test_it_comes_back_after_trouble_too(capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(ValueError, match="x"), nothing_printed():
        raise ValueError("x")
    os.write(1, b"after")
    assert capfd.readouterr().out == "after"
