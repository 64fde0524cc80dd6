"""Changes of rows and values that were confirmed point at their act, which says who, when and why."""

import uuid
from datetime import timedelta

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
    # PostgreSQL changes no table of which a constraint is still to be looked at
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
    ]
