"""How much a request may carry: measured before it is read, and again while it is; what can't be read has its page."""

import contextlib
from collections.abc import Callable, Iterator
from threading import Timer
from typing import Any, Final

from django.conf import settings
from django.core.exceptions import (
    BadRequest,
    RequestDataTooBig,
    SuspiciousOperation,
    TooManyFieldsSent,
    TooManyFilesSent,
)
from django.core.files.uploadhandler import FileUploadHandler
from django.http import HttpRequest, HttpResponse, multipartparser
from django.http.multipartparser import MultiPartParserError
from django.shortcuts import redirect, render

from kits.config.around import AtTheView
from vehicles.records.access import SIGNED_IN, largest_body_bytes, roles_of, rule_of

# Whoever may not send a form here needs room for a name and a password only.
STRANGERS_BYTES: Final = 64 * 1024
FORMS: Final = ("application/x-www-form-urlencoded", "multipart/form-data")
UNMEASURED: Final = "What was sent does not say how long it is. Nothing was changed."
BROKEN: Final = "What was sent is no form that can be read. Nothing was changed."
BROKE_OFF: Final = "What was sent broke off on its way. Nothing was changed; send it again."
READING: Final = 0  # of a connection: what `shutdown` is told to end
# A body has so long to come in, and so much longer for each megabyte of it: who sends it by drops holds a thread.
WITHIN_S: Final = 20.0
WITHIN_S_A_MB: Final = 15.0
# Of one part of a form: room for a file's name longer than any that is taken, so that the form's own field can say so.
multipartparser.MAX_TOTAL_HEADER_SIZE = 16 * 1024  # type: ignore[attr-defined]


class BodyMiddleware(AtTheView):
    """Refuse what is too large before a byte of it is read, then read it, before anything else asks for it."""

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        """None lets the request through."""
        most = most_bytes(request, view)
        length = content_length(request)
        if length is None:
            return refused(request, UNMEASURED)
        if length > most and left_just_now(request):
            return redirect("sign-in")  # which says why he was signed out; so much can't be kept
        if length > most:
            return too_large(request, most)
        request.most_body_bytes = most  # type: ignore[attr-defined]
        stream: Any = request._stream
        try:
            with within(request, WITHIN_S + WITHIN_S_A_MB * length / 1024**2):
                _ = request.GET, request.POST
        except RequestDataTooBig:
            return too_large(request, most)
        except TooManyFieldsSent:
            return refused(request, too_many())
        except (TooManyFilesSent, MultiPartParserError, BadRequest, SuspiciousOperation):
            return refused(request, BROKEN)
        except OSError:
            return refused(request, BROKE_OFF)
        # else what is left of a form whose sender went away in the middle would be taken for all of it
        if request.content_type in FORMS and stream._pos < length:
            return refused(request, BROKE_OFF)
        return None


class CountedUpload(FileUploadHandler):
    """Counts the bytes of files as they really come, whatever was said of their length; keeps nothing itself."""

    received = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        """Pass the piece on. Raises RequestDataTooBig when it is one too many."""
        self.received += len(raw_data)
        most = getattr(self.request, "most_body_bytes", STRANGERS_BYTES)
        if self.received > most:
            raise RequestDataTooBig("more came than was said")
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """The next handler has the file."""
        return


@contextlib.contextmanager
def within(request: HttpRequest, seconds: float) -> Iterator[None]:
    """Let the body come in for so long; what is not here by then is as if the sender had gone."""
    sender = request.META.get("gunicorn.socket")
    if sender is None:
        yield
        return

    def hang_up() -> None:
        with contextlib.suppress(OSError):
            sender.shutdown(READING)

    timer = Timer(seconds, hang_up)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def most_bytes(request: HttpRequest, view: Callable[..., Any]) -> int:
    """How much this person may send to this view."""
    rule = rule_of(view)
    allowed = (rule.allowed(request.method or "") if rule else None) or frozenset()
    if left_just_now(request):
        # signed out only now, and the form is to be kept for him
        return settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    is_known = request.user.is_authenticated
    if is_known and (SIGNED_IN in allowed or roles_of(request.user) & allowed):
        return largest_body_bytes(view) or settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    return STRANGERS_BYTES


def left_just_now(request: HttpRequest) -> bool:
    """Whether this very request has ended the session of whoever asks."""
    return getattr(request, "left_by", None) is not None


def content_length(request: HttpRequest) -> int | None:
    """The length the request says it has, 0 without; None when it is no length."""
    told = f"{request.META.get('CONTENT_LENGTH') or '0'}".strip()
    return int(told) if told.isascii() and told.isdigit() and len(told) <= 18 else None


def too_many() -> str:
    """What is said of a form with more fields than any of ours."""
    return (
        f"A form may send {settings.DATA_UPLOAD_MAX_NUMBER_FIELDS:,} fields at most, and this one has more. Nothing "
        "was changed, and what you typed still stands in the page before: go back and send it in smaller parts."
    )


def too_large(request: HttpRequest, most: int) -> HttpResponse:
    """The page for a body that is too large."""
    said = f"{most / 1024**2:g} MB" if most >= 1024**2 else f"{most // 1024} kB"
    return render(request, "errors/413.html", {"most": said}, status=413)


def refused(request: HttpRequest, reason: str) -> HttpResponse:
    """The page for what can't be read."""
    return render(request, "errors/400.html", {"reason": reason}, status=400)
