"""What every page's filter shares: searching by words, and a form whose fields are not called optional."""

from collections.abc import Iterator
from functools import reduce
from operator import or_
from typing import Any, ClassVar

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

MOST_WORDS = 8
LONGEST_TEXT = 200
FOLDED = "option."
NO_CHOICE = "There is no “%(value)s” to choose here; this filter is left out."


def few_words(value: str) -> None:
    """Refuse more words than a search takes."""
    if len(value.split()) > MOST_WORDS:
        raise ValidationError(f"Search by {MOST_WORDS} words at most; this search is left out.")


def text_filter(label: str) -> django_filters.CharFilter:
    """The field that is searched by words."""
    return django_filters.CharFilter(
        method="by_text", label=label, max_length=LONGEST_TEXT, validators=[few_words],
        widget=forms.TextInput(attrs={"type": "search"}),
    )  # fmt: skip


class PageFilter(django_filters.FilterSet):
    """A filter above a table; ``searched`` names the lookups in which each word of the text may stand."""

    searched: ClassVar[tuple[str, ...]] = ()

    def by_text(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Each word has to stand somewhere in what is searched."""
        for word in value.split():
            rows = rows.filter(self.holds(word))
        return rows

    def holds(self, word: str) -> Q:
        """Whether a row holds the word. Rows that hang on it are asked by Exists: joins would multiply them."""
        return reduce(or_, (Q(**{f"{lookup}__icontains": word}) for lookup in self.searched))

    @property
    def form(self) -> Any:
        """The form, marked so that its fields are not called optional."""
        form = super().form
        if not hasattr(form, "is_filter"):
            form.is_filter = True
            for field in form.fields.values():
                field.error_messages["invalid_choice"] = NO_CHOICE
        return form

    @property
    def open_fields(self) -> Iterator[Any]:
        """The fields that always stand above the table."""
        return (field for field in self.form if not field.name.startswith(FOLDED))

    @property
    def folded_fields(self) -> list[Any]:
        """The fields that are folded away until somebody uses them."""
        return [field for field in self.form if field.name.startswith(FOLDED)]

    @property
    def is_unfolded(self) -> bool:
        """Whether one of the folded fields was used."""
        return any(field.value() for field in self.folded_fields)
