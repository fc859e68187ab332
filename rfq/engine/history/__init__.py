"""What past quotes, awards and orders say: of our should-cost, of the shops, of the spreads.

Promises: an interval beside every figure; 'not enough yet' where there is not; odd prices are set
aside and counted; nothing is changed here, changes are only proposed.
"""
