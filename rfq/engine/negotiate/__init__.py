"""Rounds: where a request stands, what moved, what to ask and say next, when to stop.

Promises: no other shop's name or figure in anything meant for a shop; a target only where an
estimate with more than typed figures carries it; the first answer is never lost.
"""
