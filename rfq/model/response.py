"""Names on our own response sheet, shared by the side that writes it and the side that reads it.

The sheet is found by ``MARK`` standing in a cell; a clerk may insert rows anywhere, so nothing
here is an address: headings and labels are looked for by their text.
"""

from __future__ import annotations

from typing import Final

MARK: Final = "rfq response sheet"  # stands in a visible cell of the first sheet
VERSION: Final = 1  # stands in the cell right of the mark
PROPERTY: Final = "rfq-response-sheet"  # custom document property, the same version

QUOTE_SHEET: Final = "Quote"
BREAKDOWN_SHEET: Final = "Breakdown"

# Labels of the header block; the value stands in the next cell to the right.
REQUEST: Final = "Request"
REVISION_OF_REQUEST: Final = "Request revision"
ROUND: Final = "Round"
SHOP: Final = "Shop"
SHEET_KEY: Final = "Sheet key"  # hash of the request's content
HEAD_LABELS: Final = (REQUEST, REVISION_OF_REQUEST, ROUND, SHOP, SHEET_KEY)

# Headings of the price table, in this order.
LINE: Final = "Line"
PART: Final = "Part"
REVISION: Final = "Revision"
NAME: Final = "Name"
QUANTITY: Final = "Quantity"
UNIT_PRICE: Final = "Unit price"  # net, for one piece
CURRENCY: Final = "Currency"
LINE_TOTAL: Final = "Line total"
ONE_OFF: Final = "One-off charges"
ONE_OFF_FOR: Final = "One-off for"
LEAD_TIME: Final = "Lead time"  # '20 working days', '4 weeks', '28 days' or a date
LEAD_FROM: Final = "Lead from"  # one of quote.LeadEvent
MATERIAL: Final = "Material offered"
EXCEPTIONS: Final = "Exceptions"
DECLINED: Final = "Declined because"
COLUMNS: Final = (
    LINE,
    PART,
    REVISION,
    NAME,
    QUANTITY,
    UNIT_PRICE,
    CURRENCY,
    LINE_TOTAL,
    ONE_OFF,
    ONE_OFF_FOR,
    LEAD_TIME,
    LEAD_FROM,
    MATERIAL,
    EXCEPTIONS,
    DECLINED,
)

# Labels of the block of terms; the value stands in the next cell to the right.
TERM_CURRENCY: Final = "Currency of all prices"
TERM_DELIVERY: Final = "Delivery terms"  # Incoterms rule
TERM_PLACE: Final = "Delivery place"
TERM_PAYMENT: Final = "Payment terms"
TERM_VALID: Final = "Valid until"
TERM_TAX: Final = "Tax"  # one of codes.TaxState
TERM_LEAD: Final = "Lead time of the lot"
TERM_LEAD_FROM: Final = "Lead time counts from"
TERM_FIRST_LEAD: Final = "Lead time of the first article"
TERM_FREIGHT: Final = "Freight, whole order"
TERM_PACKING: Final = "Packing, whole order"
TERM_MINIMUM: Final = "Minimum order value"
TERM_ORIGIN: Final = "Country of origin"
TERM_TOOLING_OWNER: Final = "Owner of tooling"
TERM_REMARKS: Final = "Remarks"
TERMS: Final = (
    TERM_CURRENCY,
    TERM_DELIVERY,
    TERM_PLACE,
    TERM_PAYMENT,
    TERM_VALID,
    TERM_TAX,
    TERM_LEAD,
    TERM_LEAD_FROM,
    TERM_FIRST_LEAD,
    TERM_FREIGHT,
    TERM_PACKING,
    TERM_MINIMUM,
    TERM_ORIGIN,
    TERM_TOOLING_OWNER,
    TERM_REMARKS,
)

# Ticks of scope: label is 'In the unit price: ' + codes.Scope value; answer 'in' or 'out'.
SCOPE_LABEL: Final = "In the unit price: "

# Second tab: one row a part and quantity; money per piece in the sheet's currency.
BREAKDOWN_PART: Final = PART
BREAKDOWN_QUANTITY: Final = QUANTITY
BREAKDOWN_COLUMNS: Final = ("material", "set-up", "run", "finish", "inspection")  # codes.BREAKDOWN
BREAKDOWN_HOURS: Final = "hours"

# Fields of our PDF form: 'Unit price/3' is a heading of COLUMNS and a row from 1; head labels
# and terms stand by their bare label; MARK holds VERSION. Part and quantity are read-only fields.
FORM_FIELD: Final = "{heading}/{row}"
