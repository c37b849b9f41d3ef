"""The token of an address is kept for its owner only, and no longer than the server runs."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from glueline.studies.page.token_file import TOKEN, kept_token, token_path


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))


def test_it_is_there_while_the_server_runs_and_gone_after() -> None:
    with kept_token(8419) as token:
        assert TOKEN.fullmatch(token)
        path = token_path(8419)
        assert path.read_text().strip() == token
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        with kept_token(8420) as other:
            assert other != token
    assert not path.exists()


def test_what_a_killed_server_has_left_is_taken_on() -> None:
    with kept_token(8419) as token:
        left = token_path(8419).read_bytes()
    token_path(8419).write_bytes(left)
    token_path(8419).chmod(0o600)
    with kept_token(8419) as again:
        assert again == token


@pytest.mark.parametrize("mode", [0o644, 0o620])
def test_a_token_that_others_may_know_is_not(mode: int) -> None:
    path = token_path(8419)
    path.write_text("a" * 32)
    path.chmod(mode)
    with kept_token(8419) as token:
        assert token != "a" * 32
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_text("a" * 32)
    (tmp_path / "elsewhere").chmod(0o600)
    os.symlink(tmp_path / "elsewhere", token_path(8419))
    with kept_token(8419) as token:
        assert token != "a" * 32
    assert (tmp_path / "elsewhere").read_text() == "a" * 32


def test_without_a_place_for_it_there_is_a_token_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("glueline.studies.page.token_file.token_path", lambda _: tmp_path / "no" / "place")
    with kept_token(8419) as token:
        assert TOKEN.fullmatch(token)
