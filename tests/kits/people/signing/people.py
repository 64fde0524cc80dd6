"""Clients at several places, and a clock that can be put forward."""

from datetime import timedelta

from django.test import Client
from django.utils import timezone

from tests.conftest import PASSWORD

HOME, ELSEWHERE = "203.0.113.7", "198.51.100.9"
REAL_NOW = timezone.now


def at(address: str = HOME) -> Client:
    """A browser nobody has used, at an address."""
    return Client(REMOTE_ADDR=address)


def tried(client: Client, name: str = "manager", password: str = "wrong", **more):
    """Try a name and a password."""
    return client.post("/sign-in/", {"username": name, "password": password, **more})


def entered(client: Client, name: str = "manager", **more):
    """Sign in rightly."""
    return tried(client, name, PASSWORD, **more)


def wrong(count: int, client: Client, name: str = "manager") -> list[int]:
    """Try wrongly so many times; the states of the answers."""
    return [tried(client, name).status_code for _ in range(count)]


def is_in(client: Client) -> bool:
    """Whether somebody is signed in there."""
    return client.get("/account/").status_code == 200


class Clock:
    """Django's clock, put forward."""

    def __init__(self, monkeypatch) -> None:
        self.ahead = timedelta()
        monkeypatch.setattr("django.utils.timezone.now", lambda: REAL_NOW() + self.ahead)

    def forward(self, **span: float) -> None:
        """Let time go by."""
        self.ahead += timedelta(**span)
