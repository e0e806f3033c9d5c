"""Where the remains of a demonstration go, as a code."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("demos", "0002_step_temperature")]

    operations = [
        migrations.AddField(
            model_name="demonstration",
            name="cleanup_route",
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
                verbose_name="where the remains go",
            ),
        ),
        migrations.AddField(
            model_name="demonstration",
            name="cleanup_stream",
            field=models.CharField(
                blank=True, default="", max_length=40, verbose_name="waste stream of the remains"
            ),
        ),
    ]
