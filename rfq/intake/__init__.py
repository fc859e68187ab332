"""Shops' files to values: any reply to a Draft, a Draft to a Quote, part lists, measured sheets.

Promises: no figure is guessed in silence, a blank is never zero, nothing is dropped without being
listed, untrusted formats are opened in a bounded child process, and nothing is written.
"""
