"""The command line: words and exit codes; no rule of the trade.

Promises: stdout is data, stderr is words; nothing heavy is imported before a command needs it.
"""
