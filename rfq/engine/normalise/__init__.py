"""From a quoted price to the comparable one, step by step.

Promises: steps sum to the comparable price exactly; nothing unknown becomes a zero.
"""
