"""The filters over the list of people."""

from typing import Any

import django_filters
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from kits.people.forms import ROLE_WORDS
from kits.people.models import Firm, Person
from kits.people.queries import ending, firms
from vehicles.records.filters import PageFilter, text_filter

OUR_OWN = "own"
STATES = [("here", "here"), ("left", "left")]
CERTIFICATES = [("ending", "ended, or ending within 60 days")]


def _firms(request: Any) -> QuerySet[Firm]:
    return firms()


class PersonFilter(PageFilter):
    """By words, whether he is here, role, firm, and certificates to see to."""

    searched = ("name", "initials", "user__username", "firm__name")

    text = text_filter("Name, initials or firm")
    state = django_filters.ChoiceFilter(choices=STATES, method="by_state", label="Here", empty_label="all")
    role = django_filters.ChoiceFilter(
        choices=[(role, role) for role, _ in ROLE_WORDS], method="by_role", label="Role", empty_label="all"
    )
    firm = django_filters.ModelChoiceFilter(
        queryset=_firms, to_field_name="name", label="Firm", empty_label="all", null_label="our own",
        null_value=OUR_OWN,
    )  # fmt: skip
    certificates = django_filters.ChoiceFilter(
        choices=CERTIFICATES, method="by_certificates", label="Certificates", empty_label="all"
    )

    class Meta:
        model = Person
        fields: list[str] = []

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Those who are here, or those who left."""
        return rows.filter(left_on__isnull=value == "here")

    def by_role(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Those who have the role."""
        groups = Person.user.field.related_model.groups.through  # type: ignore[attr-defined]
        return rows.filter(Exists(groups.objects.filter(user=OuterRef("user"), group__name=value)))

    def by_certificates(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Those whose certificates somebody has to see to."""
        return rows.filter(pk__in=ending(timezone.localdate()).people)
