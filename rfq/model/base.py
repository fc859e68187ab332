"""The base of all stored values, and the number and name types they share."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints


class Value(BaseModel):
    """A frozen record; an unknown key is an error, so that a misspelt one is caught."""

    model_config = ConfigDict(frozen=True, extra="forbid")


# A name that can be a file name on every system: no slash, no control character.
PartNumber = Annotated[
    str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._+ \-]{0,59}$", strip_whitespace=True)
]
ShopId = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
RecordId = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._\-]{0,59}$")]
Revision = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9.\-]{0,9}$")]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
CurrencyCode = Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")]
CountryCode = Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")]

Number = Annotated[Decimal, Field(allow_inf_nan=False)]
Positive = Annotated[Decimal, Field(gt=0, allow_inf_nan=False)]
NotNegative = Annotated[Decimal, Field(ge=0, allow_inf_nan=False)]
Percent = Annotated[Decimal, Field(ge=0, le=100, allow_inf_nan=False)]
Pieces = Annotated[int, Field(gt=0, le=10_000_000)]
