"""A first article judged: each value against its callout, first plainly, then as proof.

Promises: the plain verdict (inside, outside) comes first and needs no statistics; proof is by
ISO 14253-1 with edition and formula named; what is neither proven nor disproven rejects nothing.
"""
