"""Comparable prices side by side: odd prices, the likeliest reason, the rank, what decides.

``matrix.compare`` is the way in: ``table`` resolves every line at every shop, ``against_cost`` and
``by_element`` judge, ``cells`` and ``summary`` put it into words, ``sensitivity`` changes one
assumption at a time.

Promises: order of shops and lines never changes a verdict; what cannot be told is not claimed; a
flag asks and blocks nothing; a question to a shop holds no other shop's figure.
"""
