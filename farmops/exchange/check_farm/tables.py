"""What the database itself promises, asked again: its file, what rows point to, and the rule of every row."""

from collections.abc import Iterator

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import connection, models
from django.db.models import BooleanField, Case, CheckConstraint, Value, When
from django.utils.translation import gettext as _

from farmops.exchange.check_farm.wrong import Wrong


def wrong_tables() -> Iterator[Wrong]:
    """Faults of the file, of keys, and of constraints."""
    if connection.vendor == "sqlite":
        yield from _file()
        yield from _keys()
    for model in apps.get_models():
        if model.__module__.startswith("farmops."):
            yield from _rules(model)
            yield from _whole_numbers(model)


def _file() -> Iterator[Wrong]:
    with connection.cursor() as cursor:
        for (said,) in cursor.execute("PRAGMA integrity_check").fetchall():
            if said != "ok":
                yield Wrong("database", None, said)


def _keys() -> Iterator[Wrong]:
    with connection.cursor() as cursor:
        found = cursor.execute("PRAGMA foreign_key_check").fetchall()
    labels = {model._meta.db_table: model._meta.label_lower for model in apps.get_models()}
    for table, row, parent, _number in found:
        words = _("It points to a row of %(table)s that is not there.") % {"table": labels.get(parent, parent)}
        yield Wrong(labels.get(table, table), row, words)


def _rules(model: type[models.Model]) -> Iterator[Wrong]:
    """Rows that break a rule which one row alone can tell."""
    rules = [rule for rule in model._meta.constraints if isinstance(rule, CheckConstraint)]
    holds = {
        f"holds_{number}": Case(
            When(rule.condition, then=Value(True)), default=Value(False), output_field=BooleanField()
        )
        for number, rule in enumerate(rules)
    }
    for number, rule in enumerate(rules):
        name = f"holds_{number}"
        for row in model._default_manager.annotate(**{name: holds[name]}).filter(**{name: False}):
            try:
                rule.validate(model, row)  # what compares with nothing is neither kept nor broken
            except ValidationError as error:
                yield Wrong.of(row, " ".join(error.messages))


def _whole_numbers(model: type[models.Model]) -> Iterator[Wrong]:
    """SQLite keeps 12.5 in a column of whole numbers if it is given it."""
    if connection.vendor != "sqlite":
        return
    columns = [field for field in model._meta.concrete_fields if isinstance(field, models.IntegerField)]
    quote = connection.ops.quote_name
    table, key = quote(model._meta.db_table), quote(str(model._meta.pk.column))
    with connection.cursor() as cursor:
        for field in columns:
            column = quote(str(field.column))
            asked = f"SELECT {key}, {column} FROM {table} WHERE typeof({column}) NOT IN ('integer', 'null')"  # noqa: S608 - names of our own tables
            for row, value in cursor.execute(asked).fetchall():
                yield Wrong(
                    model._meta.label_lower,
                    row,
                    _("%(column)s is %(value)s, which is no whole number.") % {"column": field.name, "value": value},
                )
