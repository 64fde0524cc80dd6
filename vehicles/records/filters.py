"""What every page's filter shares: searching by words, and a form whose fields are not called optional."""

from functools import reduce
from operator import or_
from typing import Any, ClassVar

import django_filters
from django.db.models import Q, QuerySet

MOST_WORDS = 8


class PageFilter(django_filters.FilterSet):
    """A filter above a table; ``searched`` names the lookups in which each word of the text may stand."""

    searched: ClassVar[tuple[str, ...]] = ()

    def by_text(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Each word has to stand somewhere in what is searched."""
        for word in value.split()[:MOST_WORDS]:
            rows = rows.filter(reduce(or_, (Q(**{f"{lookup}__icontains": word}) for lookup in self.searched)))
        return rows

    @property
    def form(self) -> Any:
        """The form, marked so that its fields are not called optional."""
        form = super().form
        form.is_filter = True
        return form
