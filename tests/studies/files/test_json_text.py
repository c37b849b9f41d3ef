"""JSON as it is written: names of files that are no text are spelled out, the same for digests."""

from __future__ import annotations

import json

from glueline.studies.files.json_text import digest_line, json_line, json_text

NOT_TEXT = b"caf\xe9".decode("utf-8", "surrogateescape")


def test_names_that_are_no_text_are_spelled_out() -> None:
    """Wherever they stand; everything else is as it was."""
    value = {NOT_TEXT: [NOT_TEXT, 1.5, None, {"a": (True, NOT_TEXT)}], "café": "N·m"}
    spelled = "caf\\udce9"
    wanted = {spelled: [spelled, 1.5, None, {"a": [True, spelled]}], "café": "N·m"}
    for written in (json_text(value), json_line(value), digest_line(value)):
        assert json.loads(written) == wanted
