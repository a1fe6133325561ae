"""Who may ask the desk: only this machine's own browser that has the token, for its own pages."""

import socket
from urllib.parse import quote

import pytest

from slowflight.desk.guard import LARGEST
from tests.desk.desk_server import Desk


def test_without_the_token_nothing_is_told(desk: Desk) -> None:
    for path in ("/", "/wing", "/state", "/live", "/static/desk.css", "/picture/claim", "/nonsense"):
        answer = desk.ask("GET", path, headers={"Cookie": None})
        assert answer.status == 403, path
        assert "Invented" not in answer.text
        assert "slowflight desk" in answer.text  # says what to do


@pytest.mark.parametrize("token", ["", "wrong", "x" * 5000, "%00", "é"])
def test_a_wrong_token_opens_nothing(desk: Desk, token: str) -> None:
    assert desk.ask("GET", f"/wing?token={quote(token)}", headers={"Cookie": None}).status == 403


def test_the_token_leaves_the_address_at_once(desk: Desk) -> None:
    answer = desk.ask("GET", f"/wing?token={desk.token}&said=a", headers={"Cookie": None})
    assert (answer.status, answer.headers["location"]) == (303, "/wing?said=a")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_the_token_leads_to_no_other_machine(desk: Desk) -> None:
    answer = desk.ask("GET", f"//elsewhere.example/x?token={desk.token}", headers={"Cookie": None})
    assert answer.headers["location"] == "/elsewhere.example/x"


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "127.0.0.1", "", "127.0.0.1:1"])
def test_a_name_that_leads_here_from_elsewhere_is_refused(desk: Desk, host: str) -> None:
    assert desk.ask("GET", "/wing", headers={"Host": host}).status == 421


@pytest.mark.parametrize(
    "origin", [None, "null", "http://evil.example", "http://127.0.0.1:1", "https://127.0.0.1"]
)
def test_changes_from_another_page_are_refused(desk: Desk, origin: str | None) -> None:
    before = (desk.folder / "wing.toml").read_bytes()
    answer = desk.ask("POST", "/undo", headers={"Origin": origin})
    assert answer.status == 403
    assert (desk.folder / "wing.toml").read_bytes() == before


def test_no_page_may_run_or_load_anything_from_elsewhere(desk: Desk) -> None:
    for path in ("/wing", "/nonsense", "/static/live.js", "/state"):
        policy = desk.ask("GET", path).headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert "http" not in policy


def test_200_mb_are_refused_in_words_and_nothing_is_kept(desk: Desk) -> None:
    answer = desk.ask("POST", "/upload/logs", body=b"x" * (200 * 1024 * 1024))
    assert answer.status == 413
    assert f"{LARGEST // 1024**2} MB" in answer.text
    assert not (desk.folder / "desk" / "uploads").exists()


def test_it_listens_on_one_address_only(desk: Desk) -> None:
    # A server that took every address of the machine would answer on this one too.
    with socket.socket() as line:
        line.settimeout(2.0)
        assert line.connect_ex(("127.0.0.2", desk.port)) != 0
