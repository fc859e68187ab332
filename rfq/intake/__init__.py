"""What shops send: bytes in, a Draft of every cell out, and from it a Quote.

Promises: every figure keeps its place; a price is never guessed in silence; the original is never touched.
"""
