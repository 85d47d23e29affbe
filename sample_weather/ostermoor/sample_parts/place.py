"""The invented place Ostermoor: where it lies, its nine greens and nursery, its zones and its people."""

from __future__ import annotations

from dataclasses import dataclass

NAME = "Ostermoor"
LATITUDE, LONGITUDE, ELEVATION = 46.6, -95.0, 380.0
TIMEZONE = "America/Winnipeg"
SUPERINTENDENT, ASSISTANT, CHAIR = "Inga Varrow", "Tobin Hale", "Maren Oldfell"


@dataclass(frozen=True)
class Area:
    """A green or nursery: name, kind, size [m2], build, thatch [mm] and the bluegrass share of its turf."""

    name: str
    kind: str
    size: int
    build: str
    thatch: int
    bluegrass: float


@dataclass(frozen=True)
class Zone:
    """A zone as a person sees it, then what the hidden truth makes of its template.

    seen: further lines of the course file. storage [mm]: water kept on frozen ground; soaks [1]: how far
    crowns fill; sun [1]: how fast it melts; drift [1]: snow caught; colder [K]: than the station.
    """

    area: str
    name: str
    template: str
    share: float
    seen: str
    storage: float
    soaks: float
    sun: float
    drift: float
    colder: float

    @property
    def label(self) -> str:
        """Area and zone, as the reports write it."""
        return f"{self.area} {self.name}"


AREAS = (
    Area("1", "green", 610, "sand", 14, 0.65),
    Area("2", "green", 580, "push-up", 18, 0.70),
    Area("3", "green", 560, "sand", 12, 0.55),
    Area("4", "green", 640, "push-up", 20, 0.75),
    Area("5", "green", 620, "sand", 10, 0.05),
    Area("6", "green", 590, "push-up", 16, 0.60),
    Area("7", "green", 570, "sand", 14, 0.60),
    Area("8", "green", 630, "sand", 12, 0.50),
    Area("9", "green", 650, "push-up", 17, 0.30),
    Area("nursery", "nursery", 400, "sand", 10, 0.0),
)

# storage, soaks, sun, drift, colder
_KIND = {
    "low spot": (16.0, 1.00, 0.95, 1.10, 1.0),
    "irrigation low": (11.0, 1.00, 0.95, 1.05, 0.8),
    "collar dam": (12.0, 0.95, 1.00, 1.00, 0.4),
    "drain side": (8.0, 0.75, 0.95, 1.10, 0.3),
    "cover edge": (6.5, 0.60, 1.00, 1.05, 0.2),
    "afternoon shade": (4.5, 0.45, 0.70, 1.10, 0.3),
    "north slope": (2.6, 0.35, 0.65, 1.05, 0.2),
    "open": (2.0, 0.25, 1.05, 0.95, 0.0),
    "ridge": (0.8, 0.08, 1.10, 0.55, -0.4),
}

_ZONES = (
    ("1", "low", "low spot", 0.3, 'shade = "morning"\nnote = "Front left bowl, no surface outlet."'),
    ("1", "open", "open", 0.7, ""),
    ("2", "low", "low spot", 0.25, 'wind = "sheltered"\ncold_air = "pools"'),
    ("2", "ridge", "ridge", 0.25, 'wind = "exposed"'),
    ("2", "open", "open", 0.5, ""),
    ("3", "shade", "afternoon shade", 0.45, "horizon = {SW = 35, W = 38, S = 15}"),
    ("3", "open", "open", 0.55, ""),
    (
        "4",
        "low",
        "low spot",
        0.3,
        'drainage = "poor"\ncold_air = "pools"\nnote = "Held ice in every bad winter."',
    ),
    ("4", "dam", "collar dam", 0.15, 'note = "Sand built up along the back collar."'),
    ("4", "open", "open", 0.55, ""),
    ("5", "ridge", "ridge", 0.4, 'wind = "exposed"\nsnow = "blows off"'),
    ("5", "open", "open", 0.6, ""),
    ("6", "north", "north slope", 0.5, "slope = 4"),
    ("6", "drain", "drain side", 0.2, 'note = "All water of the green leaves here."'),
    ("6", "open", "open", 0.3, ""),
    ("7", "low", "irrigation low", 0.3, ""),
    ("7", "shade", "afternoon shade", 0.3, 'shade = "afternoon"'),
    ("7", "open", "open", 0.4, ""),
    ("8", "edge", "cover edge", 0.2, 'note = "Rim of the permeable cover, meltwater collects."'),
    ("8", "open", "open", 0.8, 'note = "Under the permeable cover since November 2024."'),
    ("9", "low", "low spot", 0.3, ""),
    ("9", "dam", "collar dam", 0.15, ""),
    ("9", "ridge", "ridge", 0.55, 'wind = "exposed"'),
    ("nursery", "open", "open", 1.0, 'note = "Never iced; control plugs come from here."'),
)

ZONES = tuple(Zone(*row, *_KIND[row[2]]) for row in _ZONES)
LABELS = tuple(zone.label for zone in ZONES)


def area(name: str) -> Area:
    """The area of that name."""
    return next(a for a in AREAS if a.name == name)


def bluegrass(zone: Zone) -> float:
    """Share of annual bluegrass in the zone's turf."""
    return area(zone.area).bluegrass
