"""A line has the features of its options."""

from typing import Any

from django.db import migrations


def carry_over(apps: Any, schema_editor: Any) -> None:
    """Make the line's features from the options that exist in it, in the features' order."""
    found = apps.get_model("vehicles", "LineOption").objects.order_by("line_id", "option__feature__sort")
    line_feature = apps.get_model("vehicles", "LineFeature")
    pairs = found.values_list("line_id", "option__feature_id", "option__feature__sort")
    for line_id, feature_id, sort in pairs:
        line_feature.objects.get_or_create(line_id=line_id, feature_id=feature_id, defaults={"sort": sort})


class Migration(migrations.Migration):
    """Data only."""

    dependencies = [("vehicles", "0002_widen_the_data")]

    operations = [migrations.RunPython(carry_over, migrations.RunPython.noop)]
