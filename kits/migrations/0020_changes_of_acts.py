"""Changes of rows and of people, and values that were confirmed, point at their act, which says who, when and why.

What a library kept of rows beside their history goes; what only it held is carried over.
"""

import uuid
from collections import defaultdict
from datetime import timedelta

import django.core.serializers.json
import django.db.models.deletion
from django.db import migrations, models
from django.db.models.functions import Cast

ROWS = 1000
# of an act from before acts were kept nothing tells what it was
KIND = "unknown"
ONE_ACT = timedelta(minutes=1)


def give_an_act(changes):
    """Rows from before acts were kept: what one person wrote for one reason, row after row, was one act."""
    last, first_pk, last_pk = None, 0, 0

    def close():
        if last:
            old = changes.objects.filter(old_act="", pk__gte=first_pk, pk__lte=last_pk)
            old.update(old_act=uuid.uuid4().hex)

    rows = changes.objects.filter(old_act="").order_by("pk")
    for row in list(rows.values_list("pk", "made_by", "reason", "line", "made_at")):
        if last is None or row[1:4] != last[1:4] or row[4] - last[4] > ONE_ACT:
            close()
            first_pk = row[0]
        last, last_pk = row, row[0]
    close()


def carry_over(apps, schema_editor):
    """Who, when and why of rows, and of values that were confirmed, become acts."""
    acts = apps.get_model("vehicles", "Act")
    changes, values = apps.get_model("kits", "RowChange"), apps.get_model("kits", "UnusualValue")
    give_an_act(changes)
    known, batch = set(), []

    def keep(key, person, arrived, reason):
        if key in known:
            return
        known.add(key)
        batch.append(acts(key=uuid.UUID(key), person_id=person, arrived=arrived, reason=reason, kind=KIND))
        if len(batch) == ROWS:
            acts.objects.bulk_create(batch)
            batch.clear()

    rows = changes.objects.order_by("pk").values_list("old_act", "made_by", "made_at", "reason")
    for row in rows.iterator(ROWS):
        keep(*row)
    for key, person, at in values.objects.order_by("pk").values_list("old_act", "confirmed_by", "confirmed_at"):
        keep(key, person, at, "")
    acts.objects.bulk_create(batch)
    for model in (changes, values):
        of_row = acts.objects.filter(key=Cast(models.OuterRef("old_act"), models.UUIDField()))
        model.objects.update(act=models.Subquery(of_row.values("pk")[:1]))


# What was recorded of a fitment stood in the fitment's own history alone, as a reason. By sheet: its model, its numbers,
# those that must be filled, and the reason.
RECORDED = (
    (
        "Lengths", "RouteLength", ("length_mm", "cars_count", "spread_mm"), ("length_mm",),
        lambda row: f"length of {row.route.code}: {row.length_mm:g} mm",
    ),
    ("Charges", "ChargeRecord", ("charge_g", "tolerance_g"), ("charge_g",), lambda row: f"charge: {row.charge_g:g} g"),
    (
        "Air trials", "AirTrial", ("airflow_m3_h", "blower_static_pa", "motor_voltage_v", "air_c"),
        ("airflow_m3_h", "blower_static_pa", "motor_voltage_v"),
        lambda row: f"air trial: {row.airflow_m3_h:g} m³/h at {row.blower_static_pa:g} Pa",
    ),
)
ORIGIN = (
    "origin_kind", "origin_source", "origin_by", "origin_on", "origin_instrument", "origin_uncertainty", "origin_note",
)


def carry_recorded(apps, schema_editor):
    """Each length, charge and trial that was recorded on a page becomes a change of a row, with who, when and why."""
    told = defaultdict(list)
    rows = apps.get_model("kits", "HistoricalFitment").objects.exclude(history_change_reason=None)
    for row in rows.order_by("history_date", "history_id").iterator(ROWS):
        told[row.id, row.history_change_reason].append((row.history_date, row.history_user_id))
    acts, changes = [], []
    for sheet, model, numbers, required, reason_of in RECORDED:
        rows = apps.get_model("kits", model).objects.select_related("fitment__kit", "fitment__variant__line")
        rows = rows.select_related("route") if sheet == "Lengths" else rows
        for row in rows.order_by("pk").iterator(ROWS):
            entries = told[row.fitment_id, reason_of(row)]
            found = next((one for one in entries if abs(one[0] - row.recorded_at) < ONE_ACT), None)
            if found is None:
                continue
            entries.remove(found)
            names = {"kit": row.fitment.kit.code, "variant": row.fitment.variant.code}
            if sheet == "Lengths":
                names["route"] = row.route.code
            values = {**names, **{name: getattr(row, name) for name in (*numbers, *ORIGIN)}}
            if row.origin_on:
                values["origin_on"] = row.origin_on.isoformat()
            act = apps.get_model("vehicles", "Act")(
                key=uuid.uuid4(), person_id=found[1], arrived=found[0], reason=reason_of(row), kind="record"
            )
            acts.append(act)
            changes.append((act, {
                "line": row.fitment.variant.line.code, "sheet": sheet, "kind": "add",
                "label": " / ".join(f"{part}" for part in (*names.values(), *(values[name] for name in required)))[:300],
                "key": [value.casefold() if isinstance(value, str) else value for value in values.values()],
                "fields": {name: [None, value] for name, value in values.items() if value not in (None, "")},
            }))
    apps.get_model("vehicles", "Act").objects.bulk_create(acts, batch_size=ROWS)
    model = apps.get_model("kits", "RowChange")
    model.objects.bulk_create([model(act=act, **told) for act, told in changes], batch_size=ROWS)


PERSON = ("name", "initials", "left_on", "link_made_at", "signed_out_at")
CERTIFICATE = ("kind", "number", "issued_by", "valid_from", "valid_until", "withdrawn_on")
SHOP = {"second_person": "where it can be had"}


def states(rows, fields_of, first=None):
    """Each state of a row that differs from the one before it: the state, whether it is the first, and what differs."""
    held = {}
    for row in rows.order_by("id", "history_date", "history_id").iterator(ROWS):
        before, after = held.get(row.id, first), fields_of(row)
        held[row.id] = after
        old = before or {}
        fields = {name: [old.get(name), value] for name, value in after.items() if old.get(name) != value}
        if fields:
            yield row, before is None, fields


def carry_people(apps, schema_editor):
    """What was changed of people, certificates and the shop's settings becomes changes of acts."""
    firms = dict(apps.get_model("kits", "Firm").objects.values_list("pk", "name"))
    people = set(apps.get_model("kits", "Person").objects.values_list("pk", flat=True))
    certificates = set(apps.get_model("kits", "Certificate").objects.values_list("pk", flat=True))

    def of_person(row):
        return {name: getattr(row, name) for name in PERSON} | {"firm": firms.get(row.firm_id, "")}

    found = []
    for row, is_new, fields in states(apps.get_model("kits", "HistoricalPerson").objects, of_person):
        found.append((row, {"person_id": row.id if row.id in people else None, "is_new": is_new, "fields": fields}))
    rows = apps.get_model("kits", "HistoricalCertificate").objects.filter(id__in=certificates)
    for row, is_new, fields in states(rows, lambda row: {name: getattr(row, name) for name in CERTIFICATE}):
        found.append((row, {
            "person_id": row.person_id, "certificate_id": row.id, "is_new": is_new, "fields": fields,
        }))
    rows = apps.get_model("kits", "HistoricalShop").objects
    for row, _, fields in states(rows, lambda row: {name: getattr(row, name) for name in SHOP}, SHOP):
        found.append((row, {"is_new": False, "fields": fields}))
    found.sort(key=lambda one: one[0].history_date)
    acts = [
        apps.get_model("vehicles", "Act")(
            key=uuid.uuid4(), person_id=row.history_user_id, arrived=row.history_date, kind=KIND,
            reason=row.history_change_reason or "",
        )
        for row, _ in found
    ]
    apps.get_model("vehicles", "Act").objects.bulk_create(acts, batch_size=ROWS)
    model = apps.get_model("kits", "PeopleChange")
    model.objects.bulk_create(
        [model(act=act, **told) for act, (_, told) in zip(acts, found, strict=True)], batch_size=ROWS
    )


def look_at_constraints(apps, schema_editor):
    """PostgreSQL changes no table of which a constraint is still to be looked at."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")


class Migration(migrations.Migration):

    dependencies = [
        ('kits', '0019_sign_in_records'),
        ('vehicles', '0006_acts'),
    ]

    operations = [
        migrations.RemoveIndex(
            model_name='rowchange',
            name='row_change_of_an_act',
        ),
        migrations.RenameField('rowchange', 'act', 'old_act'),
        migrations.RenameField('unusualvalue', 'act', 'old_act'),
        migrations.AddField(
            model_name='rowchange',
            name='act',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='row_changes', to='vehicles.act'),
        ),
        migrations.AddField(
            model_name='unusualvalue',
            name='act',
            field=models.ForeignKey(help_text='that of the rows it was written with', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='vehicles.act'),
        ),
        migrations.RunPython(carry_over, elidable=True),
        migrations.RunPython(look_at_constraints, elidable=True),
        migrations.AlterField(
            model_name='rowchange',
            name='act',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='row_changes', to='vehicles.act'),
        ),
        migrations.AlterField(
            model_name='unusualvalue',
            name='act',
            field=models.ForeignKey(help_text='that of the rows it was written with', on_delete=django.db.models.deletion.PROTECT, related_name='+', to='vehicles.act'),
        ),
        migrations.RemoveField('rowchange', 'old_act'),
        migrations.RemoveField('rowchange', 'made_at'),
        migrations.RemoveField('rowchange', 'made_by'),
        migrations.RemoveField('rowchange', 'reason'),
        migrations.RemoveField('unusualvalue', 'old_act'),
        migrations.RemoveField('unusualvalue', 'confirmed_at'),
        migrations.RemoveField('unusualvalue', 'confirmed_by'),
        migrations.CreateModel(
            name='PeopleChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('is_new', models.BooleanField(help_text='whether it was entered by this act')),
                ('fields', models.JSONField(encoder=django.core.serializers.json.DjangoJSONEncoder, help_text='old and new value of each field')),
                ('act', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='vehicles.act')),
                ('certificate', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='changes', to='kits.certificate')),
                ('person', models.ForeignKey(help_text="empty: of the shop's settings", null=True, on_delete=django.db.models.deletion.PROTECT, related_name='changes', to='kits.person')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.RunPython(carry_recorded, elidable=True),
        migrations.RunPython(carry_people, elidable=True),
        migrations.RunPython(look_at_constraints, elidable=True),
        migrations.DeleteModel(name='HistoricalCertificate'),
        migrations.DeleteModel(name='HistoricalFitment'),
        migrations.DeleteModel(name='HistoricalKit'),
        migrations.DeleteModel(name='HistoricalPart'),
        migrations.DeleteModel(name='HistoricalPartRevision'),
        migrations.DeleteModel(name='HistoricalPerson'),
        migrations.DeleteModel(name='HistoricalShop'),
        migrations.DeleteModel(name='HistoricalSupplier'),
    ]
