"""The filters over lists of cars."""

from typing import Any

import django_filters
from django.db.models import Exists, OuterRef, Q, QuerySet

from vehicles.catalogue.models import ModelLine, Variant, VariantOption
from vehicles.catalogue.queries import options_of_lines
from vehicles.records.filters import FOLDED, PageFilter, text_filter

SURVEYS = [("open", "to be surveyed"), ("done", "surveyed")]


class CarFilter(PageFilter):
    """By words, model line, survey, and one field per feature for its option (``option.steering=left``)."""

    searched = ("name", "code", "line__name", "line__code", "line__maker", "powertrain__name")

    text = text_filter("Car, line or option")
    line = django_filters.ModelChoiceFilter(
        queryset=ModelLine.objects.all(), to_field_name="code", label="Model line", empty_label="all"
    )
    survey = django_filters.ChoiceFilter(
        choices=SURVEYS, method="by_survey", label="Survey", empty_label="all"
    )

    class Meta:
        model = Variant
        fields: list[str] = []

    def __init__(self, data: Any = None, queryset: QuerySet[Variant] | None = None, **more: Any) -> None:
        super().__init__(data, queryset, **more)
        # PostgreSQL refuses a NUL even in a question; no line's code holds one
        line = self.data.get("line", "").replace("\x00", "")
        for number, (feature, options) in enumerate(options_of_lines(line)):
            choices = [(option.code, option.name) for option in options]
            field = django_filters.ChoiceFilter(
                choices=choices, method="by_option", label=feature.name, empty_label="any"
            )
            field.model, field.parent, field.field_name = Variant, self, feature.code
            field.extra["widget"] = field.field_class.widget(attrs={"id": f"id_option_{number}"})
            self.filters[f"{FOLDED}{feature.code}"] = field

    def holds(self, word: str) -> Q:
        """A word may also stand in the name of one of the car's options."""
        options = VariantOption.objects.filter(variant=OuterRef("pk"), option__name__icontains=word)
        return super().holds(word) | Q(Exists(options))

    def by_survey(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Cars whose values were taken over from another car, or the rest."""
        return rows.filter(to_be_surveyed=value == "open")

    def by_option(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Cars with the option; a car has one option of a feature."""
        has = VariantOption.objects.filter(
            variant=OuterRef("pk"), option__feature__code=name, option__code=value
        )
        return rows.filter(Exists(has))
