"""Rounds: state, movement, targets, arguments, questions.

Promises: nothing of one shop reaches the words for another.
"""
