"""Headers that every answer carries: what a browser may keep of it, and which of its devices a page may use."""

from typing import Final

from django.http import HttpRequest, HttpResponseBase

from kits.config.around import Respond

# Pages show what belongs to whoever is signed in: on a bench's tablet nothing of them stays behind.
NOT_KEPT: Final = "private, no-store"
# No page uses any of these yet; the one that first does opens it here.
CLOSED_DEVICES: Final = (
    "accelerometer", "camera", "display-capture", "geolocation", "gyroscope", "magnetometer", "microphone", "midi",
    "payment", "publickey-credentials-get", "serial", "usb", "xr-spatial-tracking",
)  # fmt: skip
PERMISSIONS_POLICY: Final = ", ".join(f"{device}=()" for device in CLOSED_DEVICES)


class HeadersMiddleware:
    """Add them to what has none of its own; static files and pictures say themselves how long they hold."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer, then add."""
        response = self.get_response(request)
        response.headers.setdefault("Cache-Control", NOT_KEPT)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response
