"""The list of kits."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from vehicles.records.tables import ListTable

NUM = {"th": {"class": "num"}, "td": {"class": "num"}}


class KitTable(ListTable):
    """One row per kit."""

    code = tables.Column(verbose_name="Kit")
    name = tables.Column(attrs={"td": {"class": "wide"}})
    refrigerant = tables.Column()
    oil = tables.Column()
    position_count = tables.Column(verbose_name="Positions", attrs=NUM)
    fitment_count = tables.Column(verbose_name="Vehicles", attrs=NUM)

    label = "Kits"

    class Meta:
        empty_text = "There is no kit."
        order_by = "code"
        per_page = 50

    def render_code(self, value: str) -> str:
        """The code, leading to the kit."""
        return format_html('<a class="code" href="{}">{}</a>', reverse("kit", args=[value]), value)
