"""The list of people."""

from datetime import date
from typing import Any

import django_tables2 as tables
from django.db.models import F, QuerySet
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html

from kits.people.models import Person
from kits.people.queries import covers, roles_held
from vehicles.records.tables import ListTable, nothing_last

WIDE = {"td": {"class": "wide"}}
NOWRAP = {"td": {"class": "nowrap"}}


class PersonTable(ListTable):
    """One row per person."""

    name = tables.Column(empty_values=(), order_by=("name", "user__username"), attrs=WIDE)
    initials = tables.Column()
    roles = tables.Column(accessor="pk", orderable=False, verbose_name="Roles")
    firm = tables.Column(accessor="firm__name", empty_values=(), verbose_name="Firm", attrs=WIDE)
    certificates = tables.Column(accessor="pk", orderable=False, verbose_name="Certificates", attrs=WIDE)
    last_login = tables.Column(
        accessor="user__last_login", empty_values=(), verbose_name="Last signed in", attrs=NOWRAP
    )
    left_on = tables.DateColumn(format="Y-m-d", verbose_name="Left", default="–", attrs=NOWRAP)

    label = "People"

    class Meta:
        empty_text = "Nobody matches these filters."
        attrs = {"class": "sticky-first"}
        per_page = 50

    def __init__(self, rows: QuerySet[Person], *, today: date) -> None:
        super().__init__(rows)
        self.today = today

    def render_name(self, record: Person) -> str:
        """The name, leading to his page, over the name he signs in with."""
        account = record.user.get_username()
        below = format_html('<div class="soft">{}</div>', account) if record.name else ""
        return format_html('<a href="{}">{}</a>{}', reverse("person", args=[record.initials]), record, below)

    def render_roles(self, record: Person) -> str:
        """What he may do."""
        return ", ".join(roles_held(record)) or "none"

    def render_firm(self, record: Person) -> str:
        """The partner firm, or ours."""
        return record.firm.name if record.firm else "our own"

    def order_firm(self, rows: QuerySet[Any], is_descending: bool) -> tuple[QuerySet[Any], bool]:
        """By the firm; our own first."""
        name = F("firm__name")
        return rows.order_by(
            name.desc(nulls_last=True) if is_descending else name.asc(nulls_first=True)
        ), True

    def render_certificates(self, record: Person) -> str:
        """How it stands with each kind."""
        told = covers(record.certificates.all(), self.today)
        return render_to_string("people/_covers.html", {"covers": told}) if told else "–"

    def render_last_login(self, record: Person) -> str:
        """When he signed in last."""
        if record.user.last_login:
            return f"{timezone.localtime(record.user.last_login):%Y-%m-%d %H:%M %Z}"
        return "never"

    def order_last_login(self, rows: QuerySet[Any], is_descending: bool) -> tuple[QuerySet[Any], bool]:
        """By the moment; those who never did last."""
        return nothing_last(rows, "user__last_login", is_descending)

    def order_left_on(self, rows: QuerySet[Any], is_descending: bool) -> tuple[QuerySet[Any], bool]:
        """By the last day; those who are here last."""
        return nothing_last(rows, "left_on", is_descending)
