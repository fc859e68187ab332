"""What a STEP model tells us, read in a child process. Optional extra.

Promises: without the extra nothing else suffers; a hostile file ends in one sentence.
"""
