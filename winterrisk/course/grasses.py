"""Names of grasses as people write them, and the species they mean."""

import difflib
import re
import unicodedata
from typing import Annotated, Final

from pydantic import BeforeValidator, Field

from winterrisk.course.scope import SCOPE, WARM_SEASON
from winterrisk.course.section import Number, refusal
from winterrisk.science.faults import nearest
from winterrisk.thresholds.species import LABELS, REFERENCE_ONLY, SPECIES

SYNONYMS: Final = {
    "annual_bluegrass": (
        "poa", "poa annua", "annual bluegrass", "annual meadow grass", "poa reptans",
        "tunrapp", "vitgröe", "enårig rapgræs", "kylänurmikka", "pâturin annuel",
    ),
    "creeping_bent": (
        "bent", "creeping bent", "creeping bentgrass", "agrostis", "agrostis stolonifera",
        "krypkvein", "krypven", "krybende hvene", "rönsyrölli", "agrostide", "agrostide stolonifère",
    ),
    "velvet_bent": (
        "velvet bent", "velvet bentgrass", "agrostis canina", "hundekvein", "brunven", "hundehvene",
        "luhtarölli", "agrostide des chiens",
    ),
    "colonial_bent": (
        "colonial bent", "colonial bentgrass", "browntop", "browntop bent", "common bent",
        "agrostis capillaris", "agrostis tenuis", "engkvein", "rödven", "nurmirölli", "agrostide commune",
    ),
    "perennial_ryegrass": (
        "ryegrass", "perennial ryegrass", "lolium", "lolium perenne", "raigras", "engelsk raigras",
        "engelskt rajgräs", "rajgräs", "raiheinä", "ray-grass", "ray-grass anglais",
    ),
    "kentucky_bluegrass": (
        "kentucky bluegrass", "kentucky blue", "smooth meadow grass", "poa pratensis", "engrapp", "ängsgröe",
        "niittynurmikka", "pâturin des prés",
    ),
    "fine_fescue": (
        "fescue", "fine fescue", "red fescue", "chewings fescue", "creeping red fescue",
        "slender creeping red fescue", "festuca", "festuca rubra", "rødsvingel", "rödsvingel", "punanata",
        "fétuque", "fétuque rouge",
    ),
    "timothy": ("timothy", "phleum", "phleum pratense", "timotei"),
    "winter_wheat": ("winter wheat", "wheat", "triticum", "triticum aestivum"),
}  # fmt: skip
"""Trade and botanical names and, from memory, the usual Nordic and French ones."""


def folded(name: str) -> str:
    """The name without capitals, accents, spaces, punctuation and the word grass."""
    plain = unicodedata.normalize("NFKD", name.casefold().replace("ø", "o").replace("æ", "ae"))
    letters = re.sub(r"[^a-z]", "", plain)
    return letters.removesuffix("grasses").removesuffix("grass") or letters


_SPECIES_OF: Final = {
    folded(name): species for species in SPECIES for name in (species, LABELS[species], *SYNONYMS[species])
}


def species_meant(name: str) -> str | None:
    """The species a written name stands for, or None where it is not known."""
    return _SPECIES_OF.get(folded(name))


def is_warm_season(name: str) -> bool:
    """True for a warm-season grass, also when it is spelled loosely."""
    word = folded(name)
    if any(stem in word for stem in WARM_SEASON):
        return True
    return bool(difflib.get_close_matches(word, WARM_SEASON, n=1, cutoff=0.75))


def species_named(name: object) -> str:
    """The species a written name stands for.

    Raises:
        PydanticCustomError: a warm-season grass, a crop kept for published cases, or an unknown name.
    """
    if not isinstance(name, str):
        raise refusal("the name of a grass", "write a name such as annual_bluegrass")
    species = species_meant(name)
    courses = [s for s in SPECIES if s not in REFERENCE_ONLY]
    if species in courses:
        return str(species)
    if species is not None:
        raise refusal(
            "a cool-season turf grass", f"{SCOPE}; {LABELS[species]} is kept for published cases only"
        )
    if is_warm_season(name):
        raise refusal("a cool-season turf grass", SCOPE)
    like = nearest(name, [*courses, *(n for s in courses for n in SYNONYMS[s])])
    hint = f'nearest is "{like}"; correct it' if like else "correct it"
    raise refusal("one of " + ", ".join(courses), hint)


Shares = Annotated[
    dict[Annotated[str, BeforeValidator(species_named)], Annotated[Number, Field(ge=0, le=1)]],
    Field(min_length=1),
]
"""Shares of the turf by species; they add up to 1 (checked with the whole file)."""
