"""What the parts of a course file must agree on: shares add up, names are told apart and mean something.

Works on the file as written, so that these faults are named in the same breath as misspelt keys.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from winterrisk.course.grasses import species_meant
from winterrisk.science.faults import Fault, nearest
from winterrisk.thresholds.species import LABELS

SHARE_TOLERANCE: Final = 0.001
"""Shares may miss 1 by this much: three times 0.333 is allowed for."""

Raw = Mapping[str, Any]


def zone_label(area: object, zone: object) -> str:
    """The name of a zone everywhere: "4 low"."""
    return " ".join(f"{area} {zone}".split())


def disagreements(raw: Raw) -> list[Fault]:
    """Faults between the parts of a written course file; `where` holds the key alone."""
    return [
        *_zone_share_faults(raw),
        *_turf_faults(raw),
        *_doubled_names(raw),
        *_absences_turned_round(raw),
        *_names_without_meaning(raw),
    ]


def tables(raw: Raw, key: str) -> Iterator[tuple[str, Raw]]:
    """Each table of a list with its key, counted from 1: ("areas[2]", {...})."""
    written = raw.get(key)
    for i, item in enumerate(written if isinstance(written, list | tuple) else (), start=1):
        if isinstance(item, Mapping):
            yield f"{key}[{i}]", item


def zone_tables(raw: Raw) -> Iterator[tuple[str, Raw, Raw]]:
    """Each zone with its key and its area: ("areas[2].zones[1]", area, zone)."""
    for area_key, area in tables(raw, "areas"):
        for zone_key, zone in tables(area, "zones"):
            yield f"{area_key}.{zone_key}", area, zone


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _sum_in_words(shares: list[float]) -> str:
    return f"{sum(shares):g} ({' + '.join(f'{share:g}' for share in shares)})"


def _zone_share_faults(raw: Raw) -> Iterator[Fault]:
    for key, area in tables(raw, "areas"):
        zones = [zone for _, zone in tables(area, "zones")]
        shares = [zone["share"] for zone in zones if _is_number(zone.get("share"))]
        where = f'{key}.zones ("{area.get("name", "?")}")'
        silent = sum("share" not in zone for zone in zones)
        if len(shares) + silent < len(zones) or not shares:
            continue
        if silent and sum(shares) >= 1 - SHARE_TOLERANCE:
            yield Fault(
                where, f"shares adding up to {_sum_in_words(shares)} and {silent} zone(s) without a share",
                "something left for the others", "lower the shares, or write one for every zone",
            )  # fmt: skip
        elif not silent and abs(sum(shares) - 1) > SHARE_TOLERANCE:
            yield Fault(
                where, f"shares adding up to {_sum_in_words(shares)}", "1",
                "correct the shares, or leave them out for equal parts",
            )  # fmt: skip


def _turfs(raw: Raw) -> Iterator[tuple[str, object]]:
    turf = raw.get("turf")
    if isinstance(turf, Mapping):
        yield "turf.shares", turf.get("shares")
    for key, area in tables(raw, "areas"):
        yield f'{key}.turf ("{area.get("name", "?")}")', area.get("turf")
    for key, area, zone in zone_tables(raw):
        yield f'{key}.turf ("{zone_label(area.get("name", "?"), zone.get("name", "?"))}")', zone.get("turf")


def _turf_faults(raw: Raw) -> Iterator[Fault]:
    for where, shares in _turfs(raw):
        if not isinstance(shares, Mapping) or not shares:
            continue
        amounts = [share for share in shares.values() if _is_number(share)]
        if len(amounts) == len(shares) and not abs(sum(amounts) - 1) <= SHARE_TOLERANCE:
            yield Fault(where, f"shares adding up to {_sum_in_words(amounts)}", "1", "correct the shares")
        meant: dict[str, str] = {}
        for name in shares:
            species = species_meant(str(name))
            if species is not None and species in meant:
                yield Fault(
                    where, f'"{meant[species]}" and "{name}", both {LABELS[species]}', "each grass once",
                    "put the two shares together",
                )  # fmt: skip
            elif species is not None:
                meant[species] = str(name)


def _doubled_names(raw: Raw) -> Iterator[Fault]:
    areas = [(f"{key}.name", str(area["name"])) for key, area in tables(raw, "areas") if "name" in area]
    zones = [
        (f"{key}.name", zone_label(area.get("name", "?"), zone["name"]))
        for key, area, zone in zone_tables(raw)
        if "name" in zone
    ]
    people = [
        (f"{key}.name", str(person["name"])) for key, person in tables(raw, "people") if "name" in person
    ]
    for what, named in (("area", areas), ("zone", zones), ("person", people)):
        first: dict[str, str] = {}
        for where, name in named:
            folded = " ".join(name.split()).casefold()
            if folded in first:
                yield Fault(
                    where, f'{what} "{name}" a second time (first at {first[folded]})',
                    f"a name of its own for each {what}", "rename one of the two",
                )  # fmt: skip
            else:
                first[folded] = where


def _absences_turned_round(raw: Raw) -> Iterator[Fault]:
    away = raw.get("away")
    for key, period in tables(away, "periods") if isinstance(away, Mapping) else ():
        first, last = str(period.get("first", "")), str(period.get("last", ""))
        if first and last and last < first:
            yield Fault(
                f"away.{key}", f"{first} to {last}", "the last day on or after the first", "swap them"
            )


def _names_without_meaning(raw: Raw) -> Iterator[Fault]:
    zones = {
        zone_label(area["name"], zone["name"]): (str(area["name"]), str(zone["name"]))
        for _, area, zone in zone_tables(raw)
        if "name" in zone and "name" in area
    }
    areas = [str(area["name"]) for _, area in tables(raw, "areas") if "name" in area]
    people = [str(person["name"]) for _, person in tables(raw, "people") if "name" in person]
    for key, injury in tables(raw, "past_injury"):
        if "area" in injury and "zone" in injury:
            yield from _unknown(key, "zone", zone_label(injury["area"], injury["zone"]), list(zones))
    for section, field, what, known in (
        ("checks", "strips", "zone", list(zones)),
        ("covers", "areas", "area", areas),
        ("away", "stand_in", "person", people),
    ):
        written = raw.get(section)
        named = written.get(field) if isinstance(written, Mapping) else None
        for name in named if isinstance(named, list | tuple) else ([] if named is None else [named]):
            yield from _unknown(f"{section}.{field}", what, str(name), known)


def _unknown(where: str, what: str, name: str, known: list[str]) -> Iterator[Fault]:
    if " ".join(name.split()).casefold() in {k.casefold() for k in known}:
        return
    like = nearest(name, known)
    hint = f'nearest is "{like}"; correct it' if like else f"add the {what} or take this out"
    yield Fault(where, f'"{name}"', f"a {what} of this file", hint)
