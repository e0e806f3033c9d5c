"""Brings a database of 25 November 2026 to where its first migration says that it is.

On that day `0001_initial` of both apps was edited after it had been used, five times, so that a database made
in between has fewer tables, columns and constraints than the migrations after it expect. `manage.py migrate`
calls this first. It looks at what is there and adds what is missing; a database made by the file as it has
stood since is left alone. No migration is edited any more: `tests/landed/` holds their digests.
"""

from django.apps import AppConfig
from django.db import connections
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Field, Model

FIRST = "0001_initial"
APPS = ("stockroom", "demos")
#: the first migration that a database of that day cannot have
AFTER = ("stockroom", "0003_annual_review_abandoned")


def complete_first_day(sender: AppConfig, using: str, **more) -> None:
    """Add what today's first migrations made and this database lacks. Called before each `migrate`."""
    connection = connections[using]
    applied = MigrationRecorder(connection).applied_migrations()
    begun = [(app, FIRST) for app in APPS if (app, FIRST) in applied]
    if not begun or AFTER in applied:
        return
    models = MigrationLoader(connection).project_state(begun).apps
    with connection.schema_editor() as editor:
        for app, _ in begun:
            for model in models.get_app_config(app).get_models():
                _complete(editor, model)


def _complete(editor: BaseDatabaseSchemaEditor, model: type[Model]) -> None:
    table, introspection = model._meta.db_table, editor.connection.introspection
    with editor.connection.cursor() as cursor:
        if table not in introspection.table_names(cursor):
            editor.create_model(model)
            return
        columns = {row.name: row for row in introspection.get_table_description(cursor, table)}
        constraints = introspection.get_constraints(cursor, table)
    for field in model._meta.local_concrete_fields:
        if field.column not in columns:
            editor.add_field(model, field)
        elif _is_narrower(columns[field.column].display_size, field):
            before = field.clone()
            before.max_length = columns[field.column].display_size
            before.set_attributes_from_name(field.name)
            before.model = model
            editor.alter_field(model, before, field)
    for constraint in model._meta.constraints:
        if constraint.name not in constraints:
            editor.add_constraint(model, constraint)


def _is_narrower(size: int | None, field: Field) -> bool:
    return field.get_internal_type() == "CharField" and size is not None and size < field.max_length
