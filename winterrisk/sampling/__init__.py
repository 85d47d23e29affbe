"""Sampling: what a look or a plug is worth, where, when and how many.

| file | holds |
|---|---|
| value | money at stake, worth of a round of plugs |
| answers | what plugs may answer and how likely harm is after each answer, in every possible winter |
| pull_day | expected cost of cutting on each of several days, the small exact case |
| worth | the best round and what a look is worth, in one zone tonight |
| budget | the price of a message |
| question | what a look would answer and how far it moves the chance |
| workday | the day on which it can be done |
| spots | where in a zone |
| flip_flop | how far a night takes back what the last one called |
| calls, restraint | a call; what stands, what nobody answered, what a message must be worth |
| work_list | what a crew of so many hours does today |
| tonight | what is known tonight, of the night and of each zone |
| look_call, pull_call | whether a zone is looked at, and whether plugs are cut there |
| plan | the calls of a night and what is held back |
"""

from winterrisk.sampling.calls import Asked, Call, Plan, Restraint
from winterrisk.sampling.flip_flop import answered_since, flip_flop_index, turned
from winterrisk.sampling.plan import plan
from winterrisk.sampling.value import Stakes
from winterrisk.sampling.work_list import Task, work_list

__all__ = [
    "Asked",
    "Call",
    "Plan",
    "Restraint",
    "Stakes",
    "Task",
    "answered_since",
    "flip_flop_index",
    "plan",
    "turned",
    "work_list",
]
