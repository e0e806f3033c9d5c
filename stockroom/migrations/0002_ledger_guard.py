"""The database itself refuses to edit a line of the ledger, and on PostgreSQL to delete one."""

from django.db import migrations

SQLITE = """
CREATE TRIGGER movement_no_update BEFORE UPDATE ON stockroom_movement
BEGIN SELECT RAISE(ABORT, 'a line of the ledger is never edited'); END
"""

POSTGRES = """
CREATE FUNCTION movement_no_change() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION 'a line of the ledger is never edited or deleted'; END
$$ LANGUAGE plpgsql;
CREATE TRIGGER movement_no_change BEFORE UPDATE OR DELETE ON stockroom_movement
FOR EACH ROW EXECUTE FUNCTION movement_no_change();
"""

UNDO_SQLITE = "DROP TRIGGER movement_no_update"
UNDO_POSTGRES = """
DROP TRIGGER movement_no_change ON stockroom_movement;
DROP FUNCTION movement_no_change();
"""


def guard(apps, editor):
    editor.execute(POSTGRES if editor.connection.vendor == "postgresql" else SQLITE)


def unguard(apps, editor):
    editor.execute(UNDO_POSTGRES if editor.connection.vendor == "postgresql" else UNDO_SQLITE)


class Migration(migrations.Migration):
    dependencies = [("stockroom", "0001_initial")]
    operations = [migrations.RunPython(guard, unguard)]
