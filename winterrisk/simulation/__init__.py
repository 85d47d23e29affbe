"""Simulation: winters with a hidden truth, to compare ways of deciding.

| file | holds |
|---|---|
| blocks | winters re-joined from pieces of winters on record |
| truth | what the turf did, which is not what the model believes |
| field | what looks and plugs would have found |
| winters | the planner's nights through one such winter |
| policies | the customs it is compared with |
| outcome | what the winter cost, and when harm was known |
| compare | policies side by side |
"""

from winterrisk.simulation.compare import days_earlier, mean_interval, summary
from winterrisk.simulation.outcome import Outcome, outcome
from winterrisk.simulation.policies import HABITS, carried_out, whole_about
from winterrisk.simulation.winters import Played, Scene, Size, play, scene

__all__ = [
    "HABITS",
    "Outcome",
    "Played",
    "Scene",
    "Size",
    "carried_out",
    "days_earlier",
    "mean_interval",
    "outcome",
    "play",
    "scene",
    "summary",
    "whole_about",
]
