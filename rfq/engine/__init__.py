"""Pure functions: values in, values out. The date and the random generator are arguments.

Promises: no files, no clock, no network, no state between calls.
"""
