"""shoplog: what was said at the lathe, heard, kept and found again.

Nothing is imported here, so that ``shoplog --help`` stays fast; import the rooms themselves
(``shoplog.transcript``, ``shoplog.facts``, ``shoplog.extract``, ...).
"""

__version__ = "0.1.0"
