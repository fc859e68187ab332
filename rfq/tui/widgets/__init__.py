"""Widgets of our own that no library has.

Promises: nothing here reads a file or computes a price; each takes values and draws them.
"""
