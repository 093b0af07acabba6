"""The demo command: which moment it shows, and whom it leaves alone. What it shows is tested with the clinic itself."""

import socket
from datetime import UTC, datetime

import pytest
from django.core.management import CommandError, call_command

from access.management.commands import demo


def test_a_day_is_taken_at_noon_and_a_time_as_it_stands() -> None:
    assert demo.moment("2026-03-02") == datetime(2026, 3, 2, 12, tzinfo=UTC)
    assert demo.moment("2026-03-02T06:30:00+01:00") == datetime(2026, 3, 2, 5, 30, tzinfo=UTC)


@pytest.mark.parametrize("text", ["yesterday", "2026-03-02T06:30:00", "2026-02-30"])
def test_what_is_no_moment_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        demo.moment(text)


def test_a_taken_port_is_refused_before_anything_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("access.bootstrap.build_page", lambda: pytest.fail("built the page"))
    with socket.socket() as other:
        other.bind((demo.ADDRESS, 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(CommandError, match=f"--port {port + 1}"):
            call_command("demo", port=port)


def test_a_free_port_is_taken_again_right_after_a_stop() -> None:
    with socket.socket() as server:
        server.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        server.bind((demo.ADDRESS, 0))
        server.listen()
        port = server.getsockname()[1]
        with socket.create_connection((demo.ADDRESS, port)), server.accept()[0]:
            pass
    demo.require_free(port)
