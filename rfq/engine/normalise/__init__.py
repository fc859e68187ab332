"""From a quoted price to the comparable one, step by step; and to the comparable date.

Promises: steps sum to the comparable price exactly (six decimals a piece, see ``bridge.STEPS`` for
the order and its reasons); nothing unknown becomes a zero: what we would have to pay and don't
know is an open item, its price is shown without it and never ranked, and a question is drafted.

Problem codes: N001 exchange rate, N002 arithmetic, N003 doubtful figure, N004 quantity, N005 tax,
N006 delivery rule not stated, N010 carriage, N011 EXW across a border, N012 insurance, N013 duty,
N014 broker, N015 payment, N016 freight tick against rule, N017 weight, N018 scope not stated, N019
scope left out, N021 one-off twice, N022 buying up, N023 dates, N024 price
between breaks, N030 to N032 records that are
missing or stand on no line, N040 and N041 a breakdown that doesn't fit the shop's others.
"""
