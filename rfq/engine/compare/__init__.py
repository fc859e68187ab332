"""Comparable prices side by side: odd prices, the likeliest reason, and the rank.

Promises: order of shops and lines never changes a verdict; what cannot be told is not claimed.
"""
