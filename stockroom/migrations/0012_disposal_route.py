"""The disposal route as a code, and no drain words of the first catalogue left beside a reagent."""

from django.db import migrations, models

#: texts of the catalogue until now that proposed the drain, or left it open
DRAINED = (
    "Small amounts: down the drain with much water where your local authority allows it; else collect as "
    "aqueous waste.",
    "Drops and rinses: down the drain with much water where your local authority allows it. More: collect as "
    "aqueous waste.",
    "Small amounts dissolved and down the drain, or dry with general refuse, where your local authority allows "
    "it; else collect as inorganic or organic solid.",
    "Collect as acid waste; or neutralise dilute acid with sodium hydrogencarbonate to pH 6 to 9 and down the "
    "drain where your local authority allows it.",
    "Collect as alkaline waste; or neutralise dilute base with citric or dilute hydrochloric acid to pH 6 to 9 "
    "and down the drain where your local authority allows it.",
    "Dilute below 3 % and let it decompose in an open vessel, with a trace of manganese dioxide; then as your "
    "local authority allows. Never into a closed waste container.",
    "Collect apart, vented cap; or reduce with sodium thiosulfate solution and down the drain where your local "
    "authority allows it. Never with acid or ammonia.",
    "Collect as acid metal-salt waste. Never down the drain undiluted.",
)


def forget_drain_words(apps, schema_editor):
    reagents = apps.get_model("stockroom", "Reagent").objects
    reagents.filter(disposal__in=DRAINED).update(disposal="Collect it, sealed and labeled.")


class Migration(migrations.Migration):
    dependencies = [("stockroom", "0011_refrigerator_for_flammables")]

    operations = [
        migrations.AddField(
            model_name="reagent",
            name="disposal_route",
            field=models.CharField(
                blank=True,
                choices=[
                    ("collect", "Collect"),
                    ("by_itself", "Collect by itself"),
                    ("drain", "Drain, if the sewer authority allows it"),
                    ("trash", "Trash, if local rules allow it"),
                    ("reuse", "Use again"),
                    ("evaporate", "Let it evaporate"),
                    ("supplier", "Back to the supplier"),
                    ("call", "Do not touch: call"),
                ],
                default="",
                max_length=10,
                verbose_name="disposal route",
            ),
        ),
        migrations.RunPython(forget_drain_words, migrations.RunPython.noop),
    ]
