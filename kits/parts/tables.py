"""The list of parts."""

import django_tables2 as tables

NUMBER = '<a class="code" href="{% url \'part\' record.number %}">{{ record.number }}</a>'


class PartTable(tables.Table):
    """One row per part."""

    number = tables.TemplateColumn(NUMBER, verbose_name="Part number", order_by="number")
    name = tables.Column(attrs={"td": {"class": "wide"}})
    kind = tables.Column()
    unit = tables.Column()
    supply = tables.Column()
    newest = tables.Column(verbose_name="Newest revision", default="none")

    label = "Parts"

    class Meta:
        empty_text = "No part matches these filters."
        order_by = "number"
        per_page = 50
