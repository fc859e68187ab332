"""Who makes what: the cheapest award under rules, its reasons, and the order that follows.

Promises: whole pieces, each share at its own break; proven optimal or the gap is shown; a rule's
price is the difference it makes; rules that cannot all be kept are named.
"""
