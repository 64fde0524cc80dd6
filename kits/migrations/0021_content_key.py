"""What stored answers were made of: schema and METHOD, which those of earlier programs lack, and their content key."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('kits', '0020_changes_of_acts'),
    ]

    operations = [
        migrations.RemoveIndex(model_name='sizedfitment', name='sized_by_stamp'),
        migrations.AddField(
            model_name='sizedfitment',
            name='content_key',
            field=models.CharField(blank=True, default='', help_text='of what was sized; empty: of nothing', max_length=64),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='sizedfitment',
            name='method',
            field=models.PositiveSmallIntegerField(default=0, help_text='of the calculation'),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='sizedfitment',
            name='schema',
            field=models.PositiveSmallIntegerField(default=0, help_text='of the record'),
            preserve_default=False,
        ),
        migrations.AddIndex(
            model_name='sizedfitment',
            index=models.Index(
                fields=['catalogue_stamp', 'sized_at', 'holds_from', 'holds_until', 'schema', 'method'],
                name='sized_by_stamp',
            ),
        ),
    ]
