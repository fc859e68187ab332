"""What is unclear, contradictory, missing or dear for no reason, before a request goes out.

Each check is a small function ``(Facts) -> problems``; ``ALL`` is their tuple, in the order a
person would read: request, shops, files, parts, callouts, coatings, cost. Promises: a finding
says what, where, why it matters and what would be right; none blocks without a recorded way past.
"""

from __future__ import annotations

from rfq.engine.checks.facts import Check, Facts
from rfq.engine.checks.run import ALL, check

__all__ = ["ALL", "Check", "Facts", "check"]
