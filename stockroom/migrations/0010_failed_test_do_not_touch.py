"""What a failed test says of the bottle; nothing in the database changes."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("stockroom", "0009_mass_of_a_piece")]

    operations = [
        migrations.AlterField(
            "containertest",
            "outcome",
            models.CharField(
                choices=[("passed", "Passed: it may be used on"), ("failed", "Failed: do not touch it")],
                max_length=6,
            ),
        )
    ]
