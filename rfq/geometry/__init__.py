"""What a STEP model tells us: measured, drawn and compared. Optional extra ``step``.

``measure`` is the way in: it hashes the file, looks into the cache, and else runs the kernel in a
child process (``child``, ``kernel_main``) whose answer is a ``shape.MeasuredShape``. Only
``kernel``, ``faces``, ``rays``, ``pmi``, ``views`` and ``assemble`` load the kernel, and only in
that child; ``bores``, ``pockets``, ``clamping`` and ``reach`` conclude from plain values.
``typed``, ``callouts``, ``savings`` and ``revisions`` turn a shape into what the tasks offer the
user, who accepts or not.

Promises: without the extra nothing else suffers; a hostile file ends in one sentence and in bounded
time; the same file gives the same figures; nothing measured replaces a typed figure by itself.
"""
