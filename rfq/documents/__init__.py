"""Values to bytes: what goes out to shops, and what we print for ourselves.

Promises: same input, same bytes; nothing internal in what a shop gets (``outgoing`` empties
it beforehand, ``leaks`` looks at the result); black and grey only; wording in ``templates/``.

``look``, ``tables``, ``fonts`` and ``symbols`` draw every PDF; ``spreadsheet`` guards every
workbook; ``package`` puts a request together.
"""
