"""The should-cost: from stock to price, as a band, with its elements and reasons.

Promises: every parameter names its basis, every formula its source; one seed gives one band.
"""
