"""Published tables as data, each with its source.

Promises: no rule of our own; what is quoted from memory says so.
"""
