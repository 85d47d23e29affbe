"""`python -m winterrisk.cli`: the command line, by the path of a Python alone, as a schedule needs it."""

from winterrisk.cli import main

main()
