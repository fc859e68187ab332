"""Kinds of words on the command line: an amount, a moment with its time zone."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

import click


class Amount(click.ParamType[Decimal]):
    """Money or another decimal number, with a decimal point."""

    name = "amount"

    def convert(self, value: Any, param: Any, ctx: Any) -> Decimal:
        """Return the amount a word says."""
        try:
            amount = Decimal(str(value))
        except ArithmeticError:
            self.fail(f"'{value}' is no amount; write it as 12.50", param, ctx)
        if not amount.is_finite():
            self.fail(f"'{value}' is no amount", param, ctx)
        return amount


class Moment(click.ParamType[datetime]):
    """A day and time with its distance from UTC."""

    name = "moment"

    def convert(self, value: Any, param: Any, ctx: Any) -> datetime:
        """Return the moment a word says."""
        try:
            moment = datetime.fromisoformat(str(value))
        except ValueError:
            self.fail(f"'{value}' is no moment; write it as 2026-08-14T12:00+02:00", param, ctx)
        if moment.tzinfo is None:
            self.fail(f"'{value}' has no time zone; write it as 2026-08-14T12:00+02:00", param, ctx)
        return moment
