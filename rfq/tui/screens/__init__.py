"""One screen a file, one question a screen.

Promises: a screen calls tasks and draws values; long work goes through ``app.begin``; what it
shows of a user's text goes through ``cells``.
"""
