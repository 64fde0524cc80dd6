"""How often a person may ask for what takes long, so that one hand on a key does not hold the site for all."""

import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kits.config.around import AtTheView
from vehicles.records.access import most_a_minute

WINDOW_S = 60


class CostlyMiddleware(AtTheView):
    """Count per person and address within each minute, and refuse what is more than the view declares."""

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        """None lets the request through; otherwise 429, which says when to ask again."""
        most = most_a_minute(view)
        if most is None or not settings.COSTLY_COUNTED:
            return None
        window, into_window_s = divmod(int(time.time()), WINDOW_S)
        name = request.resolver_match.view_name if request.resolver_match else ""
        key = f"costly:{request.user.pk}:{name}:{window}"
        cache.add(key, 0, 2 * WINDOW_S)
        if cache.incr(key) <= most:
            return None
        wait_s = WINDOW_S - into_window_s
        page = render(request, "errors/429.html", {"most": most, "wait_s": wait_s}, status=429)
        page["Retry-After"] = str(wait_s)
        return page
