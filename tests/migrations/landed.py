"""Takes a database of the version before acts to the version of now, and prints as JSON what became of its rows.

A process of its own: the tests' connection has a database already. `python -m tests.migrations.landed`
"""

import json
import os
from datetime import timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kits.config.settings")
django.setup()

from django.db import connection  # noqa: E402
from django.db.migrations.executor import MigrationExecutor  # noqa: E402
from django.utils import timezone  # noqa: E402

from tests.keys import a_key  # noqa: E402

LANDED = [("vehicles", "0005_digests_of_forms"), ("kits", "0019_sign_in_records")]
NOW = timezone.now()
MANY = 1100


def migrated(targets):
    """The models as they are after migrating."""
    executor = MigrationExecutor(connection)
    executor.migrate(targets or executor.loader.graph.leaf_nodes())
    return MigrationExecutor(connection).loader.project_state(targets or None).apps


def fill_acts(apps):
    """Keys of forms, changes of rows and values that were confirmed, as they used to be kept."""
    user, other = (apps.get_model("auth", "User").objects.create(username=name) for name in ("one", "other"))
    keys = apps.get_model("vehicles", "IdempotencyKey").objects
    keys.create(user=user, key=a_key("form"), action="edit_rows", digest="d1", location="made")
    keys.create(user=other, key=a_key("form"), action="survey", digest="d2", location="made")
    keys.create(user=user, key="k", action="keep_note", location="7")
    changes = apps.get_model("kits", "RowChange").objects
    rows = [
        *((a_key("act"), user, "many", n, 0) for n in range(MANY)),
        ("", user, "before acts", 0, 0), ("", user, "before acts", 1, 1), ("", user, "before acts", 2, 90),
        ("", None, "before acts", 3, 91), ("", None, "another reason", 4, 91),
    ]  # fmt: skip
    for act, by, reason, number, seconds in rows:
        row = changes.create(
            act=act, made_by=by, reason=reason, sheet="Parts", label=f"{reason} {number}", key=[], kind="add",
            fields={},
        )  # fmt: skip
        changes.filter(pk=row.pk).update(made_at=NOW + timedelta(seconds=seconds))
    for act in ("act", "alone"):
        apps.get_model("kits", "UnusualValue").objects.create(
            act=a_key(act), confirmed_by=user, sheet="Parts", key=[], field=act, value="1.0"
        )


def fill_recorded(apps):
    """A length that was recorded on a page, one of a workbook with the same number, and people as they changed."""
    line = apps.get_model("vehicles", "ModelLine").objects.create(code="L1", name="Line")
    cabin = apps.get_model("vehicles", "Cabin").objects.create(line=line, code="C1", name="C1")
    powertrain = apps.get_model("vehicles", "Powertrain").objects.create(line=line, code="P1", name="P1")
    variant = apps.get_model("vehicles", "Variant").objects.create(
        line=line, code="V1", name="V1", cabin=cabin, powertrain=powertrain
    )
    kit = apps.get_model("kits", "Kit").objects.create(code="K1", name="K1", refrigerant="R-134a", oil="PAG 46")
    fitment = apps.get_model("kits", "Fitment").objects.create(kit=kit, variant=variant)
    route = apps.get_model("kits", "Route").objects.create(line=line, code="R1", name="R1")
    lengths = apps.get_model("kits", "RouteLength").objects
    for days in (1, 0):
        row = lengths.create(fitment=fitment, route=route, length_mm=1500, origin_kind="measured", origin_source="car")
        lengths.filter(pk=row.pk).update(recorded_at=NOW - timedelta(days=days))
    user = apps.get_model("auth", "User").objects.get(username="one")
    history = {"history_user": user, "history_date": NOW, "history_type": "~"}
    apps.get_model("kits", "HistoricalFitment").objects.create(
        id=fitment.pk, kit=kit, variant=variant, history_change_reason="length of R1: 1500 mm", **history
    )
    person = apps.get_model("kits", "Person").objects.create(user=user, initials="OO", name="One")
    held = apps.get_model("kits", "Certificate").objects.create(person=person, kind="refrigerant", number="R-1")
    apps.get_model("kits", "Shop").objects.create(pk=1, second_person="always")
    people = apps.get_model("kits", "HistoricalPerson").objects
    for name, reason in (("", None), ("One", "his name"), ("One", "no change")):
        people.create(id=person.pk, user=user, initials="OO", name=name, history_change_reason=reason, **history)
    people.create(id=person.pk + 1, user=user, initials="GG", history_change_reason="is gone", **history)
    apps.get_model("kits", "HistoricalCertificate").objects.create(
        id=held.pk, person=person, kind="refrigerant", number="R-1", history_change_reason="course", **history
    )
    for choice in ("where it can be had", "always"):
        apps.get_model("kits", "HistoricalShop").objects.create(
            id=1, second_person=choice, history_change_reason="two", **history
        )


def told_people():
    """What the pages tell now."""
    from kits.editing.queries import told
    from kits.exchange.models import RowChange
    from kits.people.models import Person
    from kits.people.queries import history_of, initials_given
    from kits.people.shop.queries import history_of_shop

    (change,) = RowChange.objects.filter(sheet="Lengths")
    return {
        "initials": sorted(initials_given()),
        "person": sorted([one.by, one.what, one.reason] for one in history_of(Person.objects.get())),
        "shop": [[f"{one.act.person}", one.fields["second_person"], one.act.reason] for one in history_of_shop()],
        "length": [
            change.label, f"{change.act.person}", change.act.reason, change.key,
            [[one.head, one.new] for one in told(change)],
        ],
    }  # fmt: skip


def told_acts(apps):
    """Acts, and what points at them."""
    by_act = {}
    for change in apps.get_model("kits", "RowChange").objects.filter(sheet="Parts").order_by("pk"):
        by_act.setdefault(change.act.key.hex, []).append(change)
    return {
        "acts": [
            [act.key.hex, act.kind, act.person and act.person.username, act.reason, act.asked, act.answer]
            for act in apps.get_model("vehicles", "Act").objects.select_related("person").order_by("pk")
        ],
        "changes": [
            [rows[0].act.reason, rows[0].act.person and rows[0].act.person.username, len(rows), rows[0].label,
             (rows[0].act.arrived - NOW).total_seconds()]
            for rows in by_act.values()
        ],
        "confirmed": {
            value.field: [value.act.key.hex, value.act.person.username]
            for value in apps.get_model("kits", "UnusualValue").objects.select_related("act__person")
        },
    }  # fmt: skip


def main():
    before = connection.settings_dict["NAME"]
    if connection.vendor == "postgresql":
        connection.settings_dict["TEST"]["NAME"] = f"landed_{os.getpid()}"
    # only the empty database: what stands in it is this test's
    name = connection.creation._create_test_db(verbosity=0, autoclobber=True)
    connection.close()
    connection.settings_dict["NAME"] = name
    try:
        apps = migrated(LANDED)
        fill_acts(apps)
        fill_recorded(apps)
        print(json.dumps({**told_acts(migrated(None)), **told_people()}))
    finally:
        connection.creation.destroy_test_db(before, verbosity=0)


if __name__ == "__main__":
    main()
