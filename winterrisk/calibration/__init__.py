"""Calibration: from the plugs and surveys of past winters to thresholds a person may adopt and undo.

| file | holds | needs |
|---|---|---|
| winter | Winter: one past winter, replayed | harm of hazards, member weights, turf |
| pieces | what each cut of plugs and each survey says | the book's tables |
| remembered | winters remembered in the course file, as surveys one class wider | the course |
| likelihood_table, model | log likelihood of a course for many thresholds | winters, pieces, kill formulae |
| smc | tempered sequential Monte Carlo | a log likelihood |
| speaking, held_out, refusals | what data speak of, whether a fit foretells, why not to adopt | model |
| dose_response | what plugs at known doses say, for small exact cases | smc |
| probability_scores, ensemble_scores | chances and ensembles against what came | |
| learnable | which rows are learned, which sampled beside | the table |
| fit, fit_text | Fit: the proposal and how it was come by, and the same in words | all of these |
| past_nights, warning_score | what nights said, as tables; hit, miss, false, close, acted on | night records |
| preview, preview_text | calls of past nights under two thresholds | past_nights, surveys |
| skill, skill_text | how good past nights were, against the spring surveys | past_nights, scores |
| comparison | versions and courses side by side | thresholds |
| proposal | what may be adopted: a fit, or a value set by hand | Fit, thresholds |
| write_adopted, write_pair, write_proposed, read_versions, read_edited | adopt, undo, history | a proposal, the book |
"""

from winterrisk.calibration.dose_response import (
    any_cause,
    cause_shares,
    plug_dose_response,
    plug_information,
    plugs_to_halve,
)
from winterrisk.calibration.fit import PURPOSE, Fit, fit
from winterrisk.calibration.fit_text import fit_text
from winterrisk.calibration.learnable import BESIDE, DEFAULT_ROWS, CalibrationError, beside_of, check_rows
from winterrisk.calibration.past_nights import PastNights, past_nights
from winterrisk.calibration.pieces import survey_id
from winterrisk.calibration.preview import Preview, preview
from winterrisk.calibration.preview_text import preview_text
from winterrisk.calibration.proposal import Proposal, by_hand
from winterrisk.calibration.read_versions import history, read_proposed, read_version
from winterrisk.calibration.remembered import wider_class, with_remembered
from winterrisk.calibration.smc import Particles, sequential_monte_carlo
from winterrisk.calibration.winter import Winter
from winterrisk.calibration.write_adopted import AdoptionError, adopt, adopt_by_hand, undo
from winterrisk.calibration.write_proposed import write_proposed

__all__ = [
    "BESIDE",
    "DEFAULT_ROWS",
    "PURPOSE",
    "AdoptionError",
    "CalibrationError",
    "Fit",
    "Particles",
    "PastNights",
    "Preview",
    "Proposal",
    "Winter",
    "adopt",
    "adopt_by_hand",
    "any_cause",
    "beside_of",
    "by_hand",
    "cause_shares",
    "check_rows",
    "fit",
    "fit_text",
    "history",
    "past_nights",
    "plug_dose_response",
    "plug_information",
    "plugs_to_halve",
    "preview",
    "preview_text",
    "read_proposed",
    "read_version",
    "sequential_monte_carlo",
    "survey_id",
    "undo",
    "wider_class",
    "with_remembered",
    "write_proposed",
]
