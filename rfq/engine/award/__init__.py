"""Who makes what: the cheapest award under rules, and the price of each rule.

Promises: whole pieces, each share at its own break; proven optimal or the gap is shown.
"""
