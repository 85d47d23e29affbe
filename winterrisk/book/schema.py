"""The tables of the book, and how an older book becomes one of today.

Rows are appended, never changed. A correction is a new row whose `corrects` names the first row of its
line; `withdrawn` takes that line back.
"""

from typing import Final

APPLICATION_ID: Final = 0x77726B31
"""Mark in the file's header by which a book is known from any other database."""

SAID: Final = "who TEXT NOT NULL DEFAULT '', known TEXT NOT NULL, withdrawn INTEGER NOT NULL DEFAULT 0"

VERSION_1: Final = (
    f"""CREATE TABLE observations (
        id INTEGER PRIMARY KEY, corrects INTEGER REFERENCES observations(id),
        time TEXT NOT NULL, until TEXT, area TEXT NOT NULL, zone TEXT NOT NULL, kind TEXT NOT NULL,
        value REAL, unit TEXT NOT NULL DEFAULT '',
        share REAL NOT NULL DEFAULT 1 CHECK (share BETWEEN 0 AND 1),
        detail TEXT NOT NULL DEFAULT '', {SAID}) STRICT""",
    f"""CREATE TABLE batches (
        id TEXT PRIMARY KEY, corrects TEXT REFERENCES batches(id),
        warm_from TEXT, room TEXT NOT NULL DEFAULT 'sill', temperature REAL, light_hours REAL, light_mol REAL,
        void INTEGER NOT NULL DEFAULT 0, {SAID}) STRICT""",
    f"""CREATE TABLE plugs (
        id TEXT PRIMARY KEY, corrects TEXT REFERENCES plugs(id),
        area TEXT NOT NULL, zone TEXT NOT NULL, spot TEXT NOT NULL DEFAULT '', cut TEXT NOT NULL,
        depth_mm REAL,
        crowns TEXT NOT NULL DEFAULT 'unknown' CHECK (crowns IN ('yes', 'no', 'unknown')),
        control INTEGER NOT NULL DEFAULT 0, ice_mm REAL, batch TEXT REFERENCES batches(id),
        label TEXT NOT NULL DEFAULT '', {SAID}) STRICT""",
    f"""CREATE TABLE looks (
        id INTEGER PRIMARY KEY, corrects INTEGER REFERENCES looks(id),
        plug TEXT NOT NULL REFERENCES plugs(id), time TEXT NOT NULL, species TEXT NOT NULL DEFAULT 'all',
        new_growth REAL CHECK (new_growth BETWEEN 0 AND 1), colour TEXT NOT NULL DEFAULT '',
        smell TEXT NOT NULL DEFAULT '', {SAID}) STRICT""",
    f"""CREATE TABLE surveys (
        id INTEGER PRIMARY KEY, corrects INTEGER REFERENCES surveys(id),
        winter TEXT NOT NULL, date TEXT NOT NULL, area TEXT NOT NULL, zone TEXT NOT NULL,
        species TEXT NOT NULL DEFAULT 'all', dead_low REAL NOT NULL CHECK (dead_low BETWEEN 0 AND 1),
        dead_high REAL NOT NULL CHECK (dead_high BETWEEN dead_low AND 1),
        cause TEXT NOT NULL DEFAULT 'unknown', {SAID}) STRICT""",
    f"""CREATE TABLE decisions (
        id INTEGER PRIMARY KEY, corrects INTEGER REFERENCES decisions(id),
        time TEXT NOT NULL, text TEXT NOT NULL, reason TEXT NOT NULL DEFAULT '',
        night TEXT NOT NULL DEFAULT '',
        told TEXT NOT NULL DEFAULT '', {SAID}) STRICT""",
    """CREATE TABLE nights (
        id INTEGER PRIMARY KEY, date TEXT NOT NULL, run INTEGER NOT NULL DEFAULT 1, version TEXT NOT NULL,
        thresholds TEXT NOT NULL, weather_hash TEXT NOT NULL DEFAULT '', book_hash TEXT NOT NULL DEFAULT '',
        members INTEGER, draws INTEGER, exit_code INTEGER, calls TEXT NOT NULL DEFAULT '[]',
        known TEXT NOT NULL,
        UNIQUE (date, run)) STRICT""",
    """CREATE TABLE messages (
        id INTEGER PRIMARY KEY, night TEXT NOT NULL, kind TEXT NOT NULL, recipient TEXT NOT NULL,
        headline TEXT NOT NULL, body TEXT NOT NULL DEFAULT '', delivered INTEGER NOT NULL DEFAULT 0,
        note TEXT NOT NULL DEFAULT '', known TEXT NOT NULL) STRICT""",
    """CREATE TABLE threshold_versions (
        version TEXT PRIMARY KEY, adopted TEXT NOT NULL, who TEXT NOT NULL DEFAULT '',
        why TEXT NOT NULL DEFAULT '',
        hash TEXT NOT NULL DEFAULT '', used TEXT NOT NULL DEFAULT '[]', known TEXT NOT NULL) STRICT""",
    "CREATE INDEX looks_of_plug ON looks (plug)",
    "CREATE INDEX observations_of_zone ON observations (area, zone, time)",
)

VERSION_2: Final = (
    """CREATE TABLE inbox_lines (
        id INTEGER PRIMARY KEY, note TEXT NOT NULL, file TEXT NOT NULL, content TEXT NOT NULL,
        number INTEGER NOT NULL, line TEXT NOT NULL, day TEXT NOT NULL DEFAULT '',
        said TEXT NOT NULL DEFAULT '', refused TEXT NOT NULL DEFAULT '', heading TEXT NOT NULL DEFAULT '',
        known TEXT NOT NULL,
        UNIQUE (note, content, number)) STRICT""",
    "CREATE INDEX line_of_plug ON plugs (coalesce(corrects, id))",
)
"""Notes taken from the inbox are remembered, so that none is taken twice."""

MIGRATIONS: Final[tuple[tuple[str, ...], ...]] = (VERSION_1, VERSION_2)
"""Statements that turn version i into version i + 1; version 0 is the empty file."""
VERSION: Final = len(MIGRATIONS)

COLUMNS: Final = {
    "observations": (
        "id",
        "time",
        "until",
        "area",
        "zone",
        "kind",
        "value",
        "unit",
        "share",
        "detail",
        "who",
        "known",
    ),
    "plugs": (
        "id",
        "area",
        "zone",
        "spot",
        "cut",
        "depth_mm",
        "crowns",
        "control",
        "ice_mm",
        "batch",
        "label",
        "who",
        "known",
    ),
    "batches": ("id", "warm_from", "room", "temperature", "light_hours", "light_mol", "void", "who", "known"),
    "looks": ("plug", "time", "species", "new_growth", "colour", "smell", "who", "known", "id"),
    "surveys": (
        "winter",
        "date",
        "area",
        "zone",
        "species",
        "dead_low",
        "dead_high",
        "cause",
        "who",
        "known",
        "id",
    ),
    "decisions": ("id", "time", "text", "reason", "night", "who", "told", "known"),
    "nights": (
        "date",
        "run",
        "version",
        "thresholds",
        "weather_hash",
        "book_hash",
        "members",
        "draws",
        "exit_code",
        "calls",
        "known",
    ),
    "messages": ("id", "night", "kind", "recipient", "headline", "body", "delivered", "note", "known"),
    "threshold_versions": ("version", "adopted", "who", "why", "hash", "used", "known"),
}
"""Columns of each table as people and other chapters see them."""

CORRECTED: Final = ("observations", "plugs", "batches", "looks", "surveys", "decisions")
"""Tables whose rows can be corrected or withdrawn."""
TIMES: Final = frozenset({"time", "until", "cut", "warm_from", "known", "adopted", "date"})
TEXT_DATES: Final = frozenset({("nights", "date")})
NUMBERS: Final = frozenset(
    {"value", "share", "depth_mm", "ice_mm", "temperature", "light_hours", "light_mol", "new_growth"}
    | {"dead_low", "dead_high"}
)
FLAGS: Final = frozenset({"control", "void", "delivered"})
