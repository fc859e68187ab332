"""Values to bytes: what goes out to shops, and what we print for ourselves.

Promises: same input, same bytes; nothing internal in what a shop gets.
"""
