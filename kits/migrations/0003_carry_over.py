"""Markets become rows of their own; a length's instrument becomes part of its origin."""

from typing import Any

from django.db import migrations
from django.db.models import F


def carry_over(apps: Any, schema_editor: Any) -> None:
    """Make a market of each text an offer names, and move the instruments."""
    offer, market = apps.get_model("kits", "KitOffer"), apps.get_model("kits", "Market")
    known: dict[str, Any] = {}
    for row in offer.objects.order_by("pk"):
        code = row.market.strip() or "unnamed"
        if code.casefold() not in known:
            known[code.casefold()] = market.objects.create(code=code, name=code)
        row.market_row = known[code.casefold()]
        row.save(update_fields=["market_row"])
    apps.get_model("kits", "RouteLength").objects.update(origin_instrument=F("instrument"))


class Migration(migrations.Migration):
    """Data only."""

    dependencies = [("kits", "0002_widen_the_data")]

    operations = [migrations.RunPython(carry_over, migrations.RunPython.noop)]
