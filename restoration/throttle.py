"""Guessing at passwords is slowed: by the account that is guessed at, and by where it comes from.

Each is counted on its own, so neither many addresses at one name nor many names from one address
get far. Failing on purpose must not shut a person out: who has a session goes on, and a browser
that logged in as that person before is counted by itself (a "device cookie").
"""

from datetime import timedelta
from ipaddress import IPv6Address, ip_address, ip_network

from axes.handlers.database import AxesDatabaseHandler
from axes.handlers.proxy import AxesProxyHandler
from axes.helpers import get_client_username, get_cool_off
from axes.models import AccessAttempt
from django.conf import settings
from django.core.signing import BadSignature
from django.db.models import Max
from django.shortcuts import render
from django.utils import timezone

KNOWN_FOR = timedelta(days=365)


class Handler(AxesDatabaseHandler):
    """Counts failures, and forgives less than the library does after a login that fits."""

    def reset_user_attempts(self, request, credentials=None) -> int:
        """Forgive only that name's failures from that address.

        Else whoever has a login of their own could guess at others' for ever, by logging in as
        themselves between the guesses.
        """
        mine = AccessAttempt.objects.filter(
            username=get_client_username(request, credentials), ip_address=request.axes_ip_address
        )
        return mine.delete()[0]


def client_address(request) -> str | None:
    """Where a request comes from; of IPv6 the network, as one person has all of it.

    The web server has put the client's address in REMOTE_ADDR: in public mode it takes it from
    our own proxy's X-Forwarded-For, else that header means nothing.
    """
    try:
        address = ip_address(request.META.get("REMOTE_ADDR", ""))
    except ValueError:
        return None
    if isinstance(address, IPv6Address):
        return str(ip_network((address, 64), strict=False).network_address)
    return str(address)


def counted_by(request, credentials=None) -> list:
    """By what failures are counted: a browser known as that person is not held up by others'."""
    name = get_client_username(request, credentials)
    if name and _known_as(request) == name:
        return [["username", "ip_address"]]
    return ["username", "ip_address"]


def _known_as(request) -> str:
    try:
        return request.get_signed_cookie(
            settings.KNOWN_COOKIE_NAME, "", max_age=KNOWN_FOR.total_seconds()
        )
    except BadSignature:
        return ""


def remember_browser(response, user) -> None:
    """Let a browser that has logged in be known as that person's. It opens nothing by itself."""
    response.set_signed_cookie(
        settings.KNOWN_COOKIE_NAME,
        user.get_username(),
        max_age=KNOWN_FOR,
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite=settings.SESSION_COOKIE_SAMESITE,
    )


def slow_down(request, _response, credentials=None):
    """The answer to one try too many: how long to wait, in words and as Retry-After."""
    handler = AxesProxyHandler.get_implementation()
    rows = handler.get_user_attempts(request, credentials)
    last = max(
        filter(None, (r.aggregate(at=Max("attempt_time"))["at"] for r in rows)), default=None
    )
    left = get_cool_off(request) - (timezone.now() - (last or timezone.now()))
    seconds = max(1, round(left.total_seconds()))
    response = render(
        request,
        "registration/slow_down.html",
        {"tries": settings.AXES_FAILURE_LIMIT, "minutes": -(-seconds // 60)},
        status=429,
    )
    response["Retry-After"] = str(seconds)
    return response
