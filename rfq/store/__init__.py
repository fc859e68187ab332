"""The project folder, to values and back.

Promises: atomic writes, refused when the file changed meanwhile; every schema error names file and line.
"""
