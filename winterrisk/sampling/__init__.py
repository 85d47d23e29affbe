"""Sampling: what a look or a plug is worth, where, when and how many.

| file | holds |
|---|---|
| value | money at stake, worth of a round of plugs |
| question | what a look would answer and how far it moves the chance |
| workday | the day on which it can be done |
| spots | where in a zone |
| flip_flop | how far a night takes back what the last one called |
| plan | the calls of a night and what is held back |
"""

from winterrisk.sampling.flip_flop import answered_since, flip_flop_index, turned
from winterrisk.sampling.plan import Call, Plan, plan
from winterrisk.sampling.value import Stakes

__all__ = ["Call", "Plan", "Stakes", "answered_since", "flip_flop_index", "plan", "turned"]
