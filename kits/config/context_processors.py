"""What every template may ask for."""

from django.conf import settings
from django.http import HttpRequest

from kits.config.logs import request_id
from vehicles.records.access import Rights


def site(request: HttpRequest) -> dict[str, object]:
    """The rights of the person (`rights.import_workbook`), the request's id, base address, currency."""
    return {
        "rights": Rights(getattr(request, "user", None)),
        "request_id": request_id.get(),
        "base_url": settings.BASE_URL,
        "currency": settings.CURRENCY,
    }
