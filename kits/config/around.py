"""What the middlewares have in common that decide only once the view is known."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

Respond = Callable[[HttpRequest], HttpResponseBase]


class AtTheView:
    """Lets each request through; what it has to say it says in `process_view` or `process_exception`."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Nothing to do here."""
        return self.get_response(request)
