"""The short form of a callout, as people type it, read into a ``Spec``.

Promises: pure; a whole spec or one sentence that says what was found and what would be right;
decimal comma and point alike; nothing is guessed where two readings are possible.
"""
