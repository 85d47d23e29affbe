"""What is true anywhere: constants, air and vapour, keyed random numbers, and how refusals are worded.

| file | holds |
|---|---|
| constants | physical constants with unit and source |
| air | vapour pressure, dew point, wet bulb, share of snow |
| new_snow | how dense snow falls |
| weighted | quantiles of weighted values |
| day_words | days as people write them |
| keyed | random numbers by key and hour |
| compiled | numba where it is there |
| faults | Fault and Refused |
"""
