"""The season report as one HTML page: for the owner first, then zone by zone."""

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup, escape

from winterrisk.calibration.warning_score import SCORES
from winterrisk.reports.night_page import environment
from winterrisk.reports.season_causes import cause_words
from winterrisk.reports.season_cost_words import (
    damage_words,
    first_words,
    open_words,
    plug_words,
    range_words,
    score_words,
    weather_words,
)
from winterrisk.reports.season_damage import band_of, middle
from winterrisk.reports.season_headlines import (
    how_bad,
    how_calls_stood,
    known_when,
    spoken,
    why,
    why_by_nights,
)
from winterrisk.reports.season_known import days_before
from winterrisk.reports.season_said import chance_spells
from winterrisk.reports.season_winters import ranks
from winterrisk.reports.units import measure_words, percent, share_range, size_words
from winterrisk.reports.words import BAND_WORDS, chance_in_words, day_in_words, ratio

Season = Mapping[str, Any]

BAND_NAMES = {
    "none": "next to nothing (0.5 % or less)",
    "trace": "a trace (to 5 %)",
    "spots": "spots (5 to 25 %)",
    "parts": "parts (25 to 60 %)",
    "most": "most of it (over 60 %)",
}
KEY = (
    ("Said", (("○", "look"), ("▼", "pull plugs"), ("■", "act"), ("×", "cannot say"))),
    ("Done", (("|", "somebody looked"), ("✚", "work"), ("□", "plugs cut"))),
    (
        "Found",
        (
            ("△", "all plugs alive"), ("✖", "a plug dead (hollow: likely dead)"), ("?", "too early to say"),
            ("–", "plugs void"), ("◇", "spring survey"),
        ),
    ),
)  # fmt: skip
"""The marks of the pictures, in their three lanes."""
MOST_NAMED, MOST_DECISIONS = 6, 4
"""Zones and decisions named on the owner's page (judged: it is to stay one page)."""
RANKS = {
    "mean": "Warmth",
    "coldest": "Mildest of the coldest hours",
    "freeze_thaw": "Days that thawed and froze",
    "rain_mm": "Rain",
}
"""How the places of this winter are named."""


def season_page(season: Season, pictures: Mapping[str, str]) -> str:
    """The season as one self-contained HTML page, everything that people wrote escaped.

    Args:
        season: the record of `season_record`. pictures: SVG text of a zone's picture, by zone label.
    """
    made = environment()
    made.filters |= {
        "percent": percent,
        "spoken": spoken,
        "day_month": lambda date: day_in_words(dt.date.fromisoformat(date)).split(" ", 1)[1],
        "short": lambda date: day_in_words(dt.date.fromisoformat(date)),
        "cause_name": cause_words,
        "few_labels": _few_labels,
        "ratio": ratio,
    }
    made.globals |= {
        "share_range": share_range,
        "size": lambda square_metres: size_words(square_metres, season["units"]),
        "middle": middle,
        "band_name": lambda share: BAND_NAMES[band_of(share)],
        "days_before": days_before,
        "spells": chance_spells,
        "in_words": chance_in_words,
        "names": _names,
        "few": _few,
        "weather_words": weather_words,
        "damage_words": damage_words,
        "plug_words": plug_words,
        "range_words": range_words,
        "open_words": open_words,
        "first_words": first_words,
        "score_words": score_words,
        "difference": _difference,
        "measure": lambda value, unit: measure_words(value, unit, season["units"]),
        "dead_of": lambda winter: _dead_of(season, winter),
        "rank_names": RANKS,
        "picture": lambda zone: Markup(pictures.get(zone, "")),
        "picture_label": picture_label,
    }
    hurt, badly = _in_bands(season, "spots", "parts", "most"), _in_bands(season, "parts", "most")
    return made.get_template("season.html").render(
        title=f"{season['course']}, winter {season['winter']}",
        season=season,
        zones=season["zones"],
        areas=list(dict.fromkeys(z["area"] for z in season["zones"])),
        hurt=hurt,
        badly=badly,
        most=MOST_DECISIONS,
        told=[z for z in season["zones"] if z["known"]["pull"] or z["known"]["dead"] or z in badly],
        treated=[z for z in season["zones"] if z["treated"]],
        how_bad=how_bad(season),
        why=why(season),
        why_by_nights=why_by_nights(season),
        known_when=known_when(season),
        calls_stood=how_calls_stood(season),
        scores=SCORES,
        band_names=BAND_NAMES,
        parts=BAND_WORDS["parts"],
        key=KEY,
        ranks=ranks(season["winters"], season["winter"]),
    )


def _difference(low: float, high: float) -> str:
    """How much more was dead on a strip, in points: '-5 to 20 points'."""
    return f"{100 * low:+.0f} to {100 * high:+.0f} points"


def _dead_of(season: Season, winter: str) -> str:
    """Surveyed dead share of a winter's greens, or that nobody surveyed."""
    own = [{"winter": season["winter"], **season["damage"]}]
    found = next((w for w in (*own, *season["other_winters"]) if w["winter"] == winter), None)
    return share_range(found["low"], found["high"]) if found and found["surveyed"] else "no survey"


def _in_bands(season: Season, *bands: str) -> list[Mapping[str, Any]]:
    """Surveyed zones in these bands, worst first."""
    zones = [z for z in season["zones"] if z["survey"] and band_of(middle(z["survey"])) in bands]
    return sorted(zones, key=lambda z: -middle(z["survey"]))


def _few_labels(labels: list[str]) -> list[str]:
    """The first labels of a list, and how many more there are."""
    rest = len(labels) - MOST_NAMED
    return labels if rest <= 0 else [*labels[:MOST_NAMED], f"and {rest} more"]


def _few(zones: list[Mapping[str, Any]]) -> Markup:
    """The first zones with the dead share of their survey, and how many more there are."""
    told = [
        Markup("<bdi>{}</bdi> {}").format(z["zone"], share_range(z["survey"]["low"], z["survey"]["high"]))
        for z in zones[:MOST_NAMED]
    ]
    rest = len(zones) - len(told)
    return Markup(", ").join(told) + (f" and {rest} more" if rest else "")


def _names(labels: list[str]) -> Markup:
    """Zone labels in a row, each kept apart from the direction of the writing around it."""
    return Markup(", ").join(Markup("<bdi>{}</bdi>").format(label) for label in labels)


def picture_label(zone: Mapping[str, Any]) -> tuple[str, str]:
    """Title and description of a zone's picture, for those who do not see it."""
    chances = zone["chances"]
    title = f"{zone['zone']}: chance that more than a quarter is dead, night by night"
    if not chances:
        return title, "No night gave a chance for this zone; the marks are in the table."
    top = max(chances, key=lambda row: row["chance"])
    last = chances[-1]
    span = f"From {spoken(chances[0]['on'])} to {spoken(last['on'])}, {len(chances)} nights."
    if len(chances) == 1:
        span = f"One night, {spoken(last['on'])}."
    highest = f"Highest {percent(top['chance'])} on {spoken(top['on'])};"
    now = f"last {percent(last['chance'])} ({share_range(last['low'], last['high'])})."
    return title, f"{span} {highest} {now} The marks are the rows of the table."


def labelled(svg: str, zone: Mapping[str, Any], number: int) -> str:
    """A picture's SVG text made fit to stand in the page: ids of its own, title and description.

    Args:
        svg: as the drawing library wrote it. number: of the picture on the page.
    """
    prefix = f"p{number}-"
    body = svg[svg.index("<svg") :]
    body = re.sub(r"\s*<metadata>.*?</metadata>", "", body, flags=re.DOTALL)
    body = re.sub(r'(?<=[ \n])id="', f'id="{prefix}', body)
    body = body.replace("url(#", f"url(#{prefix}").replace('href="#', f'href="#{prefix}')
    title, description = picture_label(zone)
    head, rest = body.split(">", 1)
    named = f'role="img" aria-labelledby="{prefix}title {prefix}desc"'
    titled = f'<title id="{prefix}title">{escape(title)}</title>'
    return f'{head} {named}>{titled}<desc id="{prefix}desc">{escape(description)}</desc>{rest}'
