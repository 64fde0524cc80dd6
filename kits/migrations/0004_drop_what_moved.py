"""Drop what was carried over."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """The old columns go, the new ones take their names."""

    dependencies = [("kits", "0003_carry_over")]

    operations = [
        migrations.RemoveField("routelength", "instrument"),
        migrations.RemoveConstraint("kitoffer", "kit_offer_once"),
        migrations.RemoveField("kitoffer", "market"),
        migrations.RenameField("kitoffer", "market_row", "market"),
        migrations.AlterField(
            "kitoffer",
            "market",
            models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="offers", to="kits.market"
            ),
        ),
        migrations.AddConstraint(
            "kitoffer", models.UniqueConstraint(fields=("kit", "line", "market"), name="kit_offer_once")
        ),
    ]
