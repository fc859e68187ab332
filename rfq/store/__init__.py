"""The project folder, to values and back.

Promises: a record is written whole or not at all, and refused when its file changed meanwhile;
a change of several records counts from its journal line on; every schema error names file and
line; what was received or sent is kept byte for byte under its hash.
"""
