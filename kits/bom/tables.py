"""The list of kits."""

import django_tables2 as tables

CODE = '<a class="code" href="{% url \'kit\' record.code %}">{{ record.code }}</a>'
NUM = {"th": {"class": "num"}, "td": {"class": "num"}}


class KitTable(tables.Table):
    """One row per kit."""

    code = tables.TemplateColumn(CODE, verbose_name="Kit", order_by="code")
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
