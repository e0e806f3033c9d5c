"""A kind of storage for what must be cold and is flammable; nothing in the database changes."""

from django.db import migrations, models

KINDS = [
    ("general", "General shelf"),
    ("flammables", "Flammables cabinet"),
    ("acids", "Acids cabinet"),
    ("bases", "Bases cabinet"),
    ("oxidisers", "Oxidisers, apart"),
    ("toxics", "Locked, toxics"),
    ("cold", "Refrigerator"),
    ("cold_flam", "Refrigerator rated for flammables"),
    ("ventilated", "Ventilated"),
    ("gas", "Gas cylinders"),
    ("waste", "Waste area"),
    ("outside", "Outside store"),
]


class Migration(migrations.Migration):
    dependencies = [("stockroom", "0010_failed_test_do_not_touch")]

    operations = [
        migrations.AlterField(
            model, "storage_kind", models.CharField(choices=KINDS, default="general", max_length=12)
        )
        for model in ("location", "reagent")
    ]
