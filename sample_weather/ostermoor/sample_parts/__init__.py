"""Parts of the generator of the invented course Ostermoor: place, spells, weather, truth and the book.

| module | holds |
|---|---|
| place | the invented greens, zones and people |
| spells | the six invented winters, spell by spell, and their storms |
| weather | hourly weather that follows the spells |
| truth | a plain daily bookkeeping of snow, ice, soaking and kill |
| observations, plugs, surveys | what the invented crew wrote down |
| texts | course.toml and README.md |
"""
