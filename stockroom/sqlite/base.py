"""Django's SQLite backend, with one thing put right: how many rows at once may be asked for by their keys.

To fetch what many rows point at, Django 5.2 writes `(key) IN ((1), (2), ...)`, but for SQLite, which it takes
to know no such list, `key = 1 OR key = 2 OR ...`: one level of depth a row, and SQLite refuses an expression
deeper than 1,000 (https://www.sqlite.org/limits.html, SQLITE_MAX_EXPR_DEPTH). SQLite does know the list for
keys of one column; no model here has another, and a test holds that.
"""

from django.db.backends.sqlite3 import base, features


class DatabaseFeatures(features.DatabaseFeatures):
    supports_tuple_lookups = True


class DatabaseWrapper(base.DatabaseWrapper):
    features_class = DatabaseFeatures
