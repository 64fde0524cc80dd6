"""Acts take the place of the keys of forms; what a library kept of rows beside their history goes with it."""

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

ROWS = 1000
KINDS = {"apply_plan": "ask_to_apply", "survey": "edit_rows", "add_asked_steps": "edit_rows"}
# of acts that wrote rows nothing but that they did was kept
WROTE = "made"


def key_of(row):
    """The form's own key, or None where it is none of ours."""
    try:
        return uuid.UUID(row.key)
    except ValueError:
        return None


def carry_over(apps, schema_editor):
    """Each key that was sent becomes an act; one that is none of ours, or another's too, gets one that follows from it."""
    keys, acts = apps.get_model("vehicles", "IdempotencyKey"), apps.get_model("vehicles", "Act")
    given, batch = set(), []
    for row in keys.objects.order_by("pk").iterator(ROWS):
        key = key_of(row)
        if key is None or key in given:
            key = uuid.uuid5(uuid.NAMESPACE_OID, f"{row.user_id} {row.action} {row.key}")
        given.add(key)
        batch.append(
            acts(
                key=key, person_id=row.user_id, kind=KINDS.get(row.action, row.action), arrived=row.made_at,
                asked=row.digest, answer="1" if row.location == WROTE else row.location,
            )
        )
        if len(batch) == ROWS:
            acts.objects.bulk_create(batch)
            batch.clear()
    acts.objects.bulk_create(batch)
    # PostgreSQL changes no table of which a constraint is still to be looked at
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")


class Migration(migrations.Migration):

    dependencies = [
        ('vehicles', '0005_digests_of_forms'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Act',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.UUIDField(default=uuid.uuid4, unique=True)),
                ('device', models.TextField(blank=True, help_text='on which device it was done; empty: a browser at the site')),
                ('kind', models.CharField(help_text='the name of the action', max_length=60)),
                ('device_time', models.DateTimeField(help_text='when it was done, as the device told it', null=True)),
                ('arrived', models.DateTimeField(default=django.utils.timezone.now)),
                ('sequence', models.PositiveIntegerField(help_text='which one of its device it is', null=True)),
                ('reason', models.TextField(blank=True)),
                ('asked', models.CharField(blank=True, help_text='sha256 of what was asked; empty: no form was sent, or it is not known', max_length=64)),
                ('answer', models.TextField(blank=True, help_text='what the first one was answered')),
                ('person', models.ForeignKey(help_text='empty: the console', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.RunPython(carry_over, elidable=True),
        migrations.DeleteModel(name='IdempotencyKey'),
        migrations.DeleteModel(name='HistoricalBenchPoint'),
        migrations.DeleteModel(name='HistoricalCabin'),
        migrations.DeleteModel(name='HistoricalDesignState'),
        migrations.DeleteModel(name='HistoricalDutyPoint'),
        migrations.DeleteModel(name='HistoricalModelLine'),
        migrations.DeleteModel(name='HistoricalPowertrain'),
        migrations.DeleteModel(name='HistoricalSite'),
        migrations.DeleteModel(name='HistoricalVariant'),
    ]
