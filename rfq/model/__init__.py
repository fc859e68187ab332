"""Frozen values and their own invariants; no files, nothing across records.

Promises: every value is whole and valid once built; units stand in the names; money is Decimal.
"""
