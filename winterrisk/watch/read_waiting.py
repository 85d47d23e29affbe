"""How many messages of a course have failed to arrive and still wait: read from its outbox, nothing written."""

import sqlite3
from pathlib import Path

from winterrisk.messages import has_outbox
from winterrisk.messages.write_outbox import NAME


def waiting_messages(folder: Path) -> int | None:
    """Messages that were tried, did not arrive and wait; None where the record of them cannot be read."""
    if not has_outbox(folder):
        return 0
    try:
        there = f"{(folder / NAME).absolute().as_uri()}?mode=ro"
        connection = sqlite3.connect(there, uri=True, timeout=5.0)
        try:
            connection.execute("PRAGMA trusted_schema = OFF")
            asked = "SELECT count(*) FROM messages WHERE state = 'waiting' AND failures > 0"
            return int(connection.execute(asked).fetchone()[0])
        finally:
            connection.close()
    except (OSError, ValueError, sqlite3.Error):
        return None
