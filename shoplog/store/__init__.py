"""The log in SQLite: ``database`` opens it, ``writes`` and ``corrections`` change it, ``queries`` read it.

Every function takes a connection, so that the command line and the web pages use the same ones.
"""

from shoplog.store.database import open_database, transaction

__all__ = ["open_database", "transaction"]
