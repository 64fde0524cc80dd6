"""The list of vehicles."""

import django_tables2 as tables

OPTIONS = (
    "{% for held in record.variant_options.all %}{{ held.option.name }}"
    "{% if not forloop.last %}, {% endif %}{% endfor %}"
)
BUILT = (
    '{% if record.built_from or record.built_until %}{{ record.built_from|date:"Y"|default:"?" }} to '
    '{{ record.built_until|date:"Y"|default:"?" }}{% else %}not recorded{% endif %}'
)


class VariantTable(tables.Table):
    """One row per variant."""

    name = tables.TemplateColumn(
        template_name="catalogue/_name.html", verbose_name="Variant", order_by=("name", "code")
    )
    line = tables.Column(accessor="line__name", order_by=("line__name", "code"), verbose_name="Model line")
    options = tables.TemplateColumn(
        OPTIONS, orderable=False, verbose_name="Options", attrs={"td": {"class": "wide"}}
    )
    cabin = tables.Column(accessor="cabin__name", order_by="cabin__name", verbose_name="Cabin")
    powertrain = tables.Column(
        accessor="powertrain__name", order_by="powertrain__name", verbose_name="Powertrain"
    )
    built = tables.TemplateColumn(BUILT, order_by="built_from", verbose_name="Built")

    label = "Vehicles"

    class Meta:
        empty_text = "No vehicle matches these filters."
        attrs = {"class": "sticky-first"}
        order_by = ("line", "name")
        per_page = 50
