"""Two limits and where they come from: the common result of the tolerance tables."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

#: What a caller may hand over as a length: exact, or a float taken by its shortest writing.
Length = Decimal | int | float


class NotDefined(ValueError):
    """A table gives no value; the sentence says whether the standard has none or we lack it."""


class NoSuchZone(NotDefined):
    """The standard itself has no such zone, at this size or at all."""


class NotInTable(NotDefined):
    """The standard may have it, our table does not."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of size in mm, with the basis in words.

    Args:
        lower_mm: least size; 0 where only a greatest size is asked.
        upper_mm: greatest size; Infinity where only a least size is asked.
        basis: table and source.
        nominal_mm: nominal size.
    """

    lower_mm: Decimal
    upper_mm: Decimal
    basis: str
    nominal_mm: Decimal

    @property
    def width_mm(self) -> Decimal:
        """Upper minus lower limit, mm.

        >>> Limits(Decimal(25), Decimal("25.021"), "", Decimal(25)).width_mm
        Decimal('0.021')
        """
        return self.upper_mm - self.lower_mm

    @property
    def upper_deviation_um(self) -> Decimal:
        """Upper limit minus nominal, um.

        >>> Limits(Decimal(25), Decimal("25.021"), "", Decimal(25)).upper_deviation_um
        Decimal('21.000')
        """
        return (self.upper_mm - self.nominal_mm) * 1000

    @property
    def lower_deviation_um(self) -> Decimal:
        """Lower limit minus nominal, um.

        >>> Limits(Decimal(25), Decimal("25.021"), "", Decimal(25)).lower_deviation_um
        Decimal('0')
        """
        return (self.lower_mm - self.nominal_mm) * 1000


def exact(length: Length) -> Decimal:
    """A length as Decimal; a float by its shortest writing, so that 0.1 stays 0.1.

    Raises:
        NotDefined: not a finite number.

    >>> exact(0.1), exact(18)
    (Decimal('0.1'), Decimal('18'))
    """
    value = Decimal(repr(length)) if isinstance(length, float) else Decimal(length)
    if not value.is_finite():
        raise NotDefined(f"A size of {length} is no length; write a number in mm.")
    return value
