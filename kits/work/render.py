"""Where somebody is sent who asked for a work."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from kits.work.models import Work


def followed(work: Work, *, back: str) -> HttpResponse:
    """To the page that shows how far the work is, and goes on to what it has made as soon as that is there.

    back: where the person came from, for the way back.
    """
    return redirect(f"{reverse('work', args=[work.pk])}?{urlencode({'next': back, 'go': 1})}")
