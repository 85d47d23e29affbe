"""The seal of a thresholds file: a hash of all it says, so that a change by hand is noticed."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

SEAL = "seal"


def seal_of(document: Mapping[str, Any]) -> str:
    """SHA-256 of a thresholds document without its seal; the order of its keys does not count."""
    said = {key: value for key, value in document.items() if key != SEAL}
    return hashlib.sha256(
        json.dumps(said, sort_keys=True, ensure_ascii=False, default=str).encode()
    ).hexdigest()
