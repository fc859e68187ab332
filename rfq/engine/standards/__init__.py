"""Published tables as data, each with its source: fits, threads, texture, materials, finishes, ...

Promises: no rule of our own; what is quoted from memory or is common practice says so. A value
that a standard does not have (``limits.NoSuchZone``) is told from one our table lacks
(``limits.NotInTable``). Findings carry codes T001 to T099.
"""
