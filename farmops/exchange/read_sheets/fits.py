"""Whether what a cell says fits into its column of the tables; what does not is said with sheet, row and column."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _

from farmops.core.quantities import NG, is_mass, unit_name
from farmops.exchange.read_sheets.sorting import NewRow
from farmops.planning.rows import Fault, Row

LARGEST = {models.PositiveSmallIntegerField: 2**15 - 1, models.PositiveIntegerField: 2**31 - 1}
MOST_NG = 2**63 - 1
FINER = Decimal("0.3")  # of a nanogram: what twelve places behind the point leave open, and no more


@dataclass(slots=True)
class Faults:
    """Faults as they are found while rows are made into those of the tables."""

    found: list[Fault]

    def add(self, row: NewRow[Row], column: str, problem: str, remedy: str) -> None:
        self.found.append(Fault(row.sheet, row.row.row, column, problem, remedy))

    def nothing(self, row: NewRow[Row], column: str) -> None:
        self.add(row, column, _("0 cannot be meant here."), _("Write what it really is."))

    def differs(self, row: NewRow[Row], column: str, other: object) -> None:
        """Of one thing two rows say two things."""
        self.add(row, column, _("Elsewhere it is %(other)s.") % {"other": other}, _("Write the same in both rows."))

    def closes_too_early(self, row: NewRow[Row]) -> None:
        self.add(row, "closes", _("A market closes after it opens."), _("Check both times."))

    def check(self, instance: models.Model, row: NewRow[Row], columns: Mapping[str, str]) -> None:
        """Check the columns of one row to be stored; `columns`: the model's field → the sheet's column."""
        relations = {field.name for field in instance._meta.concrete_fields if field.is_relation}
        try:
            instance.clean_fields(exclude=relations)
        except ValidationError as error:
            for name, messages in error.message_dict.items():
                self.add(row, columns.get(name, name), " ".join(messages), _("Write it shorter, or with fewer digits."))
        for field in instance._meta.concrete_fields:
            most = LARGEST.get(type(field))  # type: ignore[arg-type]  # other classes are simply not there
            value = getattr(instance, field.attname)
            if most is not None and value is not None and value > most:
                self.add(row, columns.get(field.name, field.name), _("%(value)s is far too much.") % {"value": value},
                         _("Check the number."))  # fmt: skip

    def stored_or_none(self, amount: Decimal | None, unit: str, row: NewRow[Row], column: str) -> int | None:
        return None if amount is None else self.stored(amount, unit, row, column)

    def stored(self, amount: Decimal, unit: str, row: NewRow[Row], column: str) -> int:
        """An amount as the tables hold it: whole nanograms, or a whole count."""
        exact = amount * NG[unit_name(unit)] if is_mass(unit) else amount
        whole = int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
        if is_mass(unit) and (abs(exact - whole) > FINER or whole > MOST_NG):
            self.add(row, column, _("%(amount)s %(unit)s cannot be kept.") % {"amount": amount, "unit": unit},
                     _("Write it with fewer digits."))  # fmt: skip
        elif not is_mass(unit) and whole != exact:
            self.add(row, column, _("%(amount)s %(unit)s: only whole ones are counted.")
                     % {"amount": amount, "unit": unit},
                     _("Write a whole number, or a weight if it is weighed."))  # fmt: skip
        return whole

    def cents_or_none(self, money: Decimal | None, row: NewRow[Row], column: str) -> int | None:
        return None if money is None else self.cents(money, row, column)

    def cents(self, money: Decimal, row: NewRow[Row], column: str) -> int:
        """Money in whole cents; finer is refused, for it would be rounded silently."""
        if money * 100 != int(money * 100):
            self.add(row, column, _("%(money)s is finer than a cent.") % {"money": money},
                     _("Write it with two digits behind the point."))  # fmt: skip
        return int(money * 100)


def percent(share: Decimal) -> Decimal:
    """As the tables hold shares."""
    return (share * 100).normalize() + 0


def percent_or_none(share: Decimal | None) -> Decimal | None:
    return None if share is None else percent(share)
