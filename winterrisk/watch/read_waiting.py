"""How many messages of a course have failed to arrive and still wait: read from its outbox, nothing written."""

import json
import sqlite3
from pathlib import Path

OUTBOX, LAST_MESSAGE = "outbox.sqlite", "message.json"


def waiting_messages(folder: Path) -> int | None:
    """Messages that were tried, did not arrive and wait; None where the record of them cannot be read."""
    outbox = folder / OUTBOX
    try:
        if outbox.exists():
            connection = sqlite3.connect(f"{outbox.absolute().as_uri()}?mode=ro", uri=True, timeout=5.0)
            try:
                connection.execute("PRAGMA trusted_schema = OFF")
                asked = "SELECT count(*) FROM messages WHERE state = 'waiting' AND failures > 0"
                return int(connection.execute(asked).fetchone()[0])
            finally:
                connection.close()
        last = folder / "nights" / LAST_MESSAGE
        return len(json.loads(last.read_text(encoding="utf-8"))["unreached"]) if last.exists() else 0
    except (OSError, ValueError, KeyError, TypeError, sqlite3.Error):
        return None
