"""Recording, correcting and withdrawing certificates."""

from datetime import date
from functools import partial

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from kits.people.certificates.actions import change_certificate, record_certificate, withdraw_certificate
from kits.people.models import Certificate, Person
from kits.people.queries import history_of
from tests.conftest import unsaved
from tests.keys import a_key
from tests.kits.people.cast import TODAY, certificate
from vehicles.records.actions import Stale
from vehicles.records.asked import Sent

VALUES = {
    "kind": "high voltage", "number": "HV-7", "issued_by": "the chamber", "valid_from": date(2026, 1, 1),
    "valid_until": date(2027, 12, 31), "reason": "course passed",
}  # fmt: skip


@pytest.mark.django_db
def test_a_certificate_is_recorded_once_with_its_reason(manager, installer):
    record = partial(
        record_certificate,
        actor=manager,
        person_id=installer.person.pk,
        sent=Sent(a_key("key"), "d"),
        **VALUES,
    )
    assert [record(expected_version=1).version for _ in range(2)] == [2, 2]
    (row,) = Certificate.objects.all()
    assert (row.person, row.number, row.valid_until) == (installer.person, "HV-7", date(2027, 12, 31))
    (entry,) = row.changes.all()
    assert (entry.act.person, entry.act.reason, entry.is_new) == (manager, "course passed", True)
    with pytest.raises(Stale):
        record_certificate(
            actor=manager,
            person_id=installer.person.pk,
            sent=Sent(),
            expected_version=1,
            **{**VALUES, "number": "2"},
        )


@pytest.mark.django_db
def test_one_that_is_there_already_is_refused_and_a_renewed_one_is_another_row(manager):
    add = partial(record_certificate, actor=manager, person_id=manager.person.pk, sent=Sent())
    add(expected_version=1, **VALUES)
    with pytest.raises(ValidationError, match="there already"):
        add(expected_version=2, **VALUES)
    add(expected_version=2, **{**VALUES, "valid_from": date(2028, 1, 1), "valid_until": None})
    assert Certificate.objects.count() == 2


@pytest.mark.django_db
def test_a_correction_and_a_withdrawal_are_told_in_the_history(manager):
    row = certificate(manager.person)
    seen = {"actor": manager, "certificate_id": row.pk}
    change_certificate(
        **seen, expected_version=1, **{**VALUES, "kind": "refrigerant", "number": "R-9", "reason": "typo"}
    )
    withdraw_certificate(**seen, expected_version=2, on=TODAY, reason="lost")
    row.refresh_from_db()
    assert (row.number, row.withdrawn_on) == ("R-9", TODAY)
    told = [(one.what, one.reason) for one in history_of(manager.person)][:2]
    assert told[0] == (f"certificate refrigerant R-9 withdrawn as of {TODAY}", "lost")
    assert told[1][0].startswith(
        "certificate refrigerant R-9 corrected: number R-1 → R-9, issued by none → the chamber"
    )
    for act in (
        partial(change_certificate, **seen, **VALUES), partial(withdraw_certificate, **seen, on=TODAY, reason="again"),
    ):  # fmt: skip
        with pytest.raises(ValidationError, match="was withdrawn on"):
            act(expected_version=3)
    with pytest.raises(Stale):
        withdraw_certificate(**seen, expected_version=1, on=TODAY, reason="x")
    assert Person.objects.get(pk=manager.person.pk).version == 3


@pytest.mark.parametrize("role", ["installer", "production", "owner", "stranger"])
def test_nobody_but_a_manager_touches_a_certificate(role):
    for act in (
        partial(record_certificate, person_id=1, sent=Sent(), **VALUES),
        partial(change_certificate, certificate_id=1, **VALUES),
        partial(withdraw_certificate, certificate_id=1, on=TODAY, reason="x"),
    ):
        with pytest.raises(PermissionDenied, match="Only a manager may record certificate"):
            act(actor=unsaved(role), expected_version=1)
